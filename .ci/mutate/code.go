package main

import (
	"go/ast"
	"go/build"
	"go/importer"
	"go/parser"
	"go/token"
	"go/types"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
)

type fault struct {
	id   int
	line int
	name string // file, function: what is changed
}

// code is a package with its faults.
type code struct {
	dir    string
	pkg    string
	texts  map[string]string // by file: its text with every fault in it
	faults []fault
}

// read builds the faults into files of a package, into all if none is named.
func read(dir string, names []string) (code, error) {
	c := code{dir: dir, texts: map[string]string{}}
	fset := token.NewFileSet()
	paths, _ := filepath.Glob(filepath.Join(dir, "*.go"))
	info := &types.Info{Types: map[ast.Expr]types.TypeAndValue{}}
	var trees []*ast.File
	var files []*file
	for _, p := range paths {
		if strings.HasSuffix(p, "_test.go") {
			continue
		}
		text, err := os.ReadFile(p)
		if err != nil {
			return c, err
		}
		t, err := parser.ParseFile(fset, p, text, parser.SkipObjectResolution)
		if err != nil {
			return c, err
		}
		c.pkg = t.Name.Name
		trees = append(trees, t)
		if len(names) == 0 || slices.Contains(names, filepath.Base(p)) {
			files = append(files, &file{name: filepath.Base(p), text: text, tree: t, faults: &c.faults, fset: fset, info: info, named: map[string]int{}})
		}
	}
	root, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		return c, err
	}
	build.Default.GOROOT = strings.TrimSpace(string(root))
	conf := types.Config{Importer: importer.ForCompiler(fset, "source", nil)}
	if _, err := conf.Check(dir, fset, trees, info); err != nil {
		return c, err
	}
	for _, f := range files {
		c.texts[f.name] = f.rewritten()
	}
	return c, nil
}
