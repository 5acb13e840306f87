//go:build ignore

// Mutate asks whether a package's tests see small faults in its code. It
// builds the tests once, with every fault in it, and runs them once for each
// fault that they reach. Told are the faults that no test sees.
//
//	go run .ci/mutate.go [-run REGEXP] [-skip REGEXP] [-with PACKAGE] [-j N] [-only LIST] [-but LIST] PACKAGE-FOLDER [FILE...]
//	go run .ci/mutate.go -check LIST PACKAGE-FOLDER
//
// -with takes the tests of another package. A LIST has a fault on a line, named
// by its file, its function and what it changes there, not by the line, which
// moves; a line that begins with # says why no test can see the faults under
// it. -only looks at the faults of the list, -but at all others. -check runs no
// test: it says which lines of the list name no fault or stand under no reason.
package main

import (
	"context"
	"encoding/json"
	"flag"
	"fmt"
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
	"strconv"
	"strings"
	"sync"
	"time"
)

type fault struct {
	id   int
	line int
	name string // file, function: what is changed
}

type file struct {
	name   string
	text   []byte
	tree   *ast.File
	faults *[]fault
	fset   *token.FileSet
	info   *types.Info
	in     string         // the function that is rewritten
	named  map[string]int // how many faults of that name the file has
}

func main() {
	run := flag.String("run", "", "tests to run")
	skip := flag.String("skip", "", "tests to leave out")
	with := flag.String("with", "", "folder of the package whose tests are run")
	jobs := flag.Int("j", 1, "faults looked at together")
	only := flag.String("only", "", "list of the faults to look at")
	but := flag.String("but", "", "list of the faults to leave out")
	list := flag.String("check", "", "list to check against the code; no test is run")
	patience := flag.Duration("t", 60*time.Second, "time for one run")
	flag.Parse()
	if flag.NArg() == 0 {
		flag.Usage()
		os.Exit(2)
	}
	check(mutate(flag.Arg(0), flag.Args()[1:], *run, *skip, *with, *only, *but, *list, *jobs, *patience))
}

func check(err error) {
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func mutate(dir string, names []string, run, skip, with, only, but, list string, jobs int, patience time.Duration) error {
	fset := token.NewFileSet()
	paths, _ := filepath.Glob(filepath.Join(dir, "*.go"))
	var trees []*ast.File
	var files []*file
	var faults []fault
	for _, p := range paths {
		if strings.HasSuffix(p, "_test.go") {
			continue
		}
		text, err := os.ReadFile(p)
		if err != nil {
			return err
		}
		t, err := parser.ParseFile(fset, p, text, parser.SkipObjectResolution)
		if err != nil {
			return err
		}
		trees = append(trees, t)
		if len(names) == 0 || slices.Contains(names, filepath.Base(p)) {
			files = append(files, &file{p, text, t, &faults, fset, nil, "", map[string]int{}})
		}
	}
	info := &types.Info{Types: map[ast.Expr]types.TypeAndValue{}}
	root, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		return err
	}
	build.Default.GOROOT = strings.TrimSpace(string(root))
	conf := types.Config{Importer: importer.ForCompiler(fset, "source", nil)}
	if _, err := conf.Check(dir, fset, trees, info); err != nil {
		return err
	}
	tmp, err := os.MkdirTemp("", "mutate")
	if err != nil {
		return err
	}
	defer os.RemoveAll(tmp)
	replace := map[string]string{}
	put := func(name, text string) error {
		abs, err := filepath.Abs(filepath.Join(dir, name))
		if err != nil {
			return err
		}
		replace[abs] = filepath.Join(tmp, name)
		return os.WriteFile(replace[abs], []byte(text), 0o600)
	}
	for _, f := range files {
		f.info = info
		if err := put(filepath.Base(f.name), f.rewritten()); err != nil {
			return err
		}
	}
	if list != "" {
		return checkList(list, faults)
	}
	pkg := trees[0].Name.Name
	if err := put("mutate_faults.go", strings.Replace(helpers, "PACKAGE", pkg, 1)); err != nil {
		return err
	}
	overlay, _ := json.Marshal(map[string]any{"Replace": replace})
	if err := os.WriteFile(filepath.Join(tmp, "overlay.json"), overlay, 0o600); err != nil {
		return err
	}
	if with == "" {
		with = dir
	}
	bin := filepath.Join(tmp, "tests")
	compile := exec.Command("go", "test", "-c", "-vet=off", "-overlay", filepath.Join(tmp, "overlay.json"), "-o", bin, "./"+filepath.Clean(with))
	if out, err := compile.CombinedOutput(); err != nil {
		return fmt.Errorf("build: %w\n%s", err, out)
	}
	var more []string
	try := func(env string) (string, error) {
		ctx, cancel := context.WithTimeout(context.Background(), patience)
		defer cancel()
		args := append([]string{"-test.failfast"}, more...)
		if run != "" {
			args = append(args, "-test.run", run)
		}
		if skip != "" {
			args = append(args, "-test.skip", skip)
		}
		c := exec.CommandContext(ctx, bin, args...)
		c.Dir, c.Env = with, append(os.Environ(), env)
		out, err := c.CombinedOutput()
		return string(out), err
	}
	more = []string{"-rapid.nofailfile", "-test.list=^$"}
	if _, err := try(""); err != nil {
		more = nil // these tests know no such flag
	} else {
		more = more[:1]
	}
	reached := filepath.Join(tmp, "reached")
	start := time.Now()
	if out, err := try("MUTATE_REACHED=" + reached); err != nil {
		return fmt.Errorf("without a fault the tests fail: %w\n%s", err, out)
	}
	took := time.Since(start)
	hit := map[int]bool{}
	text, _ := os.ReadFile(reached)
	for _, w := range strings.Fields(string(text)) {
		k, _ := strconv.Atoi(w)
		hit[k] = true
	}
	wanted := faults
	for _, l := range []struct {
		name string
		keep bool
	}{{only, true}, {but, false}} {
		if l.name == "" {
			continue
		}
		in, err := namesOf(l.name)
		if err != nil {
			return err
		}
		wanted = slices.DeleteFunc(slices.Clone(wanted), func(f fault) bool { _, ok := in[f.name]; return ok != l.keep })
	}
	fmt.Fprintf(os.Stderr, "%d faults, %d reached, a run takes %.1f s\n", len(wanted), len(hit), took.Seconds())
	seen := 0
	var mu sync.Mutex
	var wg sync.WaitGroup
	next := make(chan fault)
	for range jobs {
		wg.Go(func() {
			for f := range next {
				why := "not reached"
				if hit[f.id] {
					why = "not seen"
					if _, err := try("MUTATE=" + strconv.Itoa(f.id)); err != nil {
						why = ""
					}
				}
				mu.Lock()
				if why == "" {
					seen++
				} else {
					fmt.Printf("%s, line %d: %s\n", why, f.line, f.name)
				}
				mu.Unlock()
			}
		})
	}
	for _, f := range wanted {
		next <- f
	}
	close(next)
	wg.Wait()
	fmt.Fprintf(os.Stderr, "%d of %d seen\n", seen, len(wanted))
	return nil
}

// namesOf reads a list: the reason that each fault stands under, by its name.
func namesOf(list string) (map[string]string, error) {
	text, err := os.ReadFile(list)
	if err != nil {
		return nil, err
	}
	names := map[string]string{}
	why, below := "", false
	for l := range strings.Lines(string(text)) {
		l = strings.TrimSpace(l)
		switch {
		case l == "":
			why, below = "", false
		case strings.HasPrefix(l, "#"):
			if below {
				why, below = "", false
			}
			why = strings.TrimSpace(why + strings.TrimLeft(l, "#"))
		default:
			names[l], below = why, true
		}
	}
	return names, nil
}

func checkList(list string, faults []fault) error {
	names, err := namesOf(list)
	if err != nil {
		return err
	}
	for _, f := range faults {
		if why, ok := names[f.name]; ok && why != "" {
			delete(names, f.name)
		}
	}
	var bad []string
	for n, why := range names {
		if why == "" {
			n += ": no reason over it"
		} else {
			n += ": no such fault any more"
		}
		bad = append(bad, n)
	}
	if bad != nil {
		slices.Sort(bad)
		return fmt.Errorf("%s:\n%s", list, strings.Join(bad, "\n"))
	}
	return nil
}

// add notes a fault in n and returns its number.
func (f *file) add(n ast.Node, pos token.Pos, what string) int {
	id := len(*f.faults) + 1
	text := f.source(n)
	if _, ok := n.(ast.Stmt); ok {
		text = what + ": " + text
	} else {
		text += ": " + what
	}
	name := filepath.Base(f.name) + " " + f.in + ": " + text
	f.named[name]++
	if k := f.named[name]; k > 1 {
		name += fmt.Sprintf(" (%d)", k)
	}
	*f.faults = append(*f.faults, fault{id, f.fset.Position(pos).Line, name})
	return id
}

// source is the text of a node on one line, cut where it gets long.
func (f *file) source(n ast.Node) string {
	text := []rune(strings.Join(strings.Fields(string(f.text[f.off(n.Pos()):f.off(n.End())])), " "))
	if len(text) > 90 {
		text = append(text[:90], '…')
	}
	return string(text)
}

// funcName is the name of a function with its receiver's type.
func (f *file) funcName(fn *ast.FuncDecl) string {
	if fn.Recv == nil {
		return fn.Name.Name
	}
	t := fn.Recv.List[0].Type
	if p, ok := t.(*ast.StarExpr); ok {
		t = p.X
	}
	return f.source(t) + "." + fn.Name.Name
}

type splice struct {
	from, to int
	text     string
}

func (f *file) off(p token.Pos) int { return f.fset.Position(p).Offset }

func (f *file) rewritten() string {
	var out strings.Builder
	at := 0
	for _, d := range f.tree.Decls {
		fn, ok := d.(*ast.FuncDecl)
		if !ok || fn.Body == nil {
			continue
		}
		f.in = f.funcName(fn)
		out.Write(f.text[at:f.off(fn.Body.Pos())])
		out.WriteString(f.node(fn.Body))
		at = f.off(fn.Body.End())
	}
	out.Write(f.text[at:])
	return out.String()
}

// node returns the text of a node with the faults of all that is in it.
func (f *file) node(n ast.Node) string {
	from, to := f.off(n.Pos()), f.off(n.End())
	var in []splice
	ast.Inspect(n, func(c ast.Node) bool {
		if c == nil || c == n {
			return true
		}
		if text, ok := f.faulty(c); ok {
			in = append(in, splice{f.off(c.Pos()), f.off(c.End()), text})
			return false
		}
		return true
	})
	slices.SortFunc(in, func(a, b splice) int { return a.from - b.from })
	var out strings.Builder
	for _, s := range in {
		out.Write(f.text[from:s.from])
		out.WriteString(s.text)
		from = s.to
	}
	out.Write(f.text[from:to])
	return out.String()
}

func (f *file) basic(e ast.Expr, flags types.BasicInfo) bool {
	t := f.info.Types[e]
	if t.Type == nil || t.Value != nil {
		return false
	}
	b, ok := t.Type.Underlying().(*types.Basic)
	return ok && b.Info()&flags != 0
}

func (f *file) constant(e ast.Expr) bool { return f.info.Types[e].Value != nil }

// faulty returns a node with faults of its own.
func (f *file) faulty(n ast.Node) (string, bool) {
	switch n := n.(type) {
	case *ast.BinaryExpr:
		if f.constant(n) {
			return "", false
		}
		x, y := n.X, n.Y
		call := func(name string, what ...string) (string, bool) {
			ids := ""
			for _, w := range what {
				ids += strconv.Itoa(f.add(n, n.OpPos, n.Op.String()+" becomes "+w)) + ", "
			}
			return name + "(" + ids + f.node2(x) + ", " + f.node2(y) + ")", true
		}
		ordered := f.basic(x, types.IsNumeric) || f.basic(y, types.IsNumeric)
		// A limit on lengths, feeds and angles may count itself in or out: only
		// those on whole numbers are moved.
		whole := f.basic(x, types.IsInteger) || f.basic(y, types.IsInteger)
		limit := func(name, less, not string) (string, bool) {
			if !whole {
				return call(name+"Real", not)
			}
			return call(name, less, not)
		}
		switch {
		case n.Op == token.LAND:
			id := f.add(n, n.OpPos, "&& becomes ||")
			return fmt.Sprintf("mutAnd(%d, %s, func() bool { return %s })", id, f.node2(x), f.node2(y)), true
		case n.Op == token.LOR:
			id := f.add(n, n.OpPos, "|| becomes &&")
			return fmt.Sprintf("mutOr(%d, %s, func() bool { return %s })", id, f.node2(x), f.node2(y)), true
		case !ordered:
			return "", false
		case n.Op == token.LSS:
			return limit("mutLess", "<=", ">=")
		case n.Op == token.LEQ:
			return limit("mutAtMost", "<", ">")
		case n.Op == token.GTR:
			return limit("mutMore", ">=", "<=")
		case n.Op == token.GEQ:
			return limit("mutAtLeast", ">", "<")
		case n.Op == token.EQL:
			return call("mutSame", "!=")
		case n.Op == token.NEQ:
			return call("mutOther", "==")
		case !f.basic(n, types.IsNumeric):
			return "", false
		case n.Op == token.ADD:
			return call("mutPlus", "-")
		case n.Op == token.SUB:
			return call("mutMinus", "+")
		case n.Op == token.MUL:
			return call("mutTimes", "/")
		case n.Op == token.QUO:
			return call("mutBy", "*")
		}
	case *ast.IfStmt:
		switch n.Cond.(type) {
		case *ast.BinaryExpr:
			return "", false
		}
		if f.constant(n.Cond) {
			return "", false
		}
		yes, no := f.add(n.Cond, n.Cond.Pos(), "the condition is true"), f.add(n.Cond, n.Cond.Pos(), "the condition is false")
		var out strings.Builder
		out.WriteString("if ")
		if n.Init != nil {
			out.WriteString(f.node(n.Init) + "; ")
		}
		fmt.Fprintf(&out, "mutIf(%d, %d, %s) %s", yes, no, f.node2(n.Cond), f.node(n.Body))
		if n.Else != nil {
			out.WriteString(" else " + f.node2(n.Else))
		}
		return out.String(), true
	case *ast.BlockStmt:
		return f.block(n), true
	case *ast.CaseClause:
		return f.clause(n), true
	}
	return "", false
}

// node2 is node for what may have faults itself.
func (f *file) node2(n ast.Node) string {
	if text, ok := f.faulty(n); ok {
		return text
	}
	return f.node(n)
}

func (f *file) block(b *ast.BlockStmt) string { return "{\n" + f.statements(b.List) + "}" }

func (f *file) clause(c *ast.CaseClause) string {
	var out strings.Builder
	if c.List == nil {
		out.WriteString("default")
	}
	for i, e := range c.List {
		if i == 0 {
			out.WriteString("case ")
		} else {
			out.WriteString(", ")
		}
		out.WriteString(f.node2(e))
	}
	return out.String() + ":\n" + f.statements(c.Body)
}

// statements may each be left out, but for declarations and returns.
func (f *file) statements(list []ast.Stmt) string {
	var out strings.Builder
	for _, s := range list {
		text := f.node2(s)
		skip := false
		switch s := s.(type) {
		case *ast.ExprStmt, *ast.IncDecStmt:
			skip = true
		case *ast.AssignStmt:
			skip = s.Tok != token.DEFINE
		case *ast.BranchStmt:
			skip = s.Tok == token.CONTINUE
		}
		if skip {
			text = fmt.Sprintf("if mutKeep(%d) { %s }", f.add(s, s.Pos(), "left out"), text)
		}
		out.WriteString(text + "\n")
	}
	return out.String()
}

const helpers = `package PACKAGE

import (
	"fmt"
	"os"
	"strconv"
	"sync/atomic"
)

type mutNumber interface {
	~int | ~int8 | ~int16 | ~int32 | ~int64 | ~uint | ~uint8 | ~uint16 | ~uint32 | ~uint64 | ~float64 | ~float32
}

var (
	mutActive, _ = strconv.Atoi(os.Getenv("MUTATE"))
	mutFile      = os.Getenv("MUTATE_REACHED")
	mutHit       [1 << 16]atomic.Bool
)

func mutIs(id int) bool {
	if mutFile != "" && !mutHit[id].Swap(true) {
		f, err := os.OpenFile(mutFile, os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o600)
		if err == nil {
			fmt.Fprintln(f, id)
			f.Close()
		}
	}
	return mutActive == id
}

func mutKeep(id int) bool { return !mutIs(id) }

func mutIf(yes, no int, c bool) bool { return !mutIs(no) && (mutIs(yes) || c) }

func mutAnd(id int, x bool, y func() bool) bool {
	if mutIs(id) {
		return x || y()
	}
	return x && y()
}

func mutOr(id int, x bool, y func() bool) bool {
	if mutIs(id) {
		return x && y()
	}
	return x || y()
}

func mutLess[T mutNumber](a, b int, x, y T) bool {
	if mutIs(a) {
		return x <= y
	}
	return mutIs(b) != (x < y)
}

func mutAtMost[T mutNumber](a, b int, x, y T) bool {
	if mutIs(a) {
		return x < y
	}
	return mutIs(b) != (x <= y)
}

func mutMore[T mutNumber](a, b int, x, y T) bool {
	if mutIs(a) {
		return x >= y
	}
	return mutIs(b) != (x > y)
}

func mutAtLeast[T mutNumber](a, b int, x, y T) bool {
	if mutIs(a) {
		return x > y
	}
	return mutIs(b) != (x >= y)
}

func mutLessReal[T mutNumber](a int, x, y T) bool { return mutIs(a) != (x < y) }

func mutAtMostReal[T mutNumber](a int, x, y T) bool { return mutIs(a) != (x <= y) }

func mutMoreReal[T mutNumber](a int, x, y T) bool { return mutIs(a) != (x > y) }

func mutAtLeastReal[T mutNumber](a int, x, y T) bool { return mutIs(a) != (x >= y) }

func mutSame[T mutNumber](a int, x, y T) bool { return mutIs(a) != (x == y) }

func mutOther[T mutNumber](a int, x, y T) bool { return mutIs(a) != (x != y) }

func mutPlus[T mutNumber](a int, x, y T) T {
	if mutIs(a) {
		return x - y
	}
	return x + y
}

func mutMinus[T mutNumber](a int, x, y T) T {
	if mutIs(a) {
		return x + y
	}
	return x - y
}

func mutTimes[T mutNumber](a int, x, y T) T {
	if mutIs(a) {
		return x / y
	}
	return x * y
}

func mutBy[T mutNumber](a int, x, y T) T {
	if mutIs(a) {
		return x * y
	}
	return x / y
}
`
