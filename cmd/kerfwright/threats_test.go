package main

import (
	"bytes"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// The table of threats in DEVELOPERS.md says what shows that each is met.
// Every test, script and mutant that it names is there.
func TestEveryThreatNamesTestsThatExist(t *testing.T) {
	root := filepath.Join("..", "..")
	text, err := os.ReadFile(filepath.Join(root, "DEVELOPERS.md"))
	if err != nil {
		t.Fatal(err)
	}
	_, table, found := strings.Cut(string(text), "## What may go wrong")
	table, _, _ = strings.Cut(table, "\n## ")
	if !found {
		t.Fatal("DEVELOPERS.md has no table of what may go wrong")
	}
	functions, files := map[string]bool{}, map[string]bool{}
	var tests bytes.Buffer
	function := regexp.MustCompile(`(?m)^func ((?:Test|Fuzz)\w+)\(`)
	err = filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		files[d.Name()] = true
		if d.IsDir() || !strings.HasSuffix(path, "_test.go") {
			return nil
		}
		src, err := os.ReadFile(path)
		for _, m := range function.FindAllSubmatch(src, -1) {
			functions[string(m[1])] = true
		}
		tests.Write(src)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	rows := 0
	for _, row := range strings.Split(table, "\n") {
		cells := strings.Split(row, "|")
		if len(cells) != 5 || strings.Contains(row, "---") || strings.TrimSpace(cells[1]) == "threat" {
			continue
		}
		rows++
		named := 0
		for _, m := range regexp.MustCompile("`([^`]+)`").FindAllStringSubmatch(cells[3], -1) {
			named++
			name := filepath.Base(m[1])
			if strings.HasPrefix(name, "Test") || strings.HasPrefix(name, "Fuzz") {
				if !functions[name] {
					t.Errorf("%s: there is no %s", strings.TrimSpace(cells[1]), name)
				}
			} else if !files[name] {
				t.Errorf("%s: there is no file %s", strings.TrimSpace(cells[1]), name)
			}
		}
		for _, m := range regexp.MustCompile(`"([^"]+)"`).FindAllStringSubmatch(cells[3], -1) {
			named++
			if !bytes.Contains(tests.Bytes(), []byte(`{"`+m[1]+`"`)) {
				t.Errorf("%s: there is no mutant %q", strings.TrimSpace(cells[1]), m[1])
			}
		}
		if named == 0 {
			t.Errorf("%s: nothing shows that it is met", strings.TrimSpace(cells[1]))
		}
	}
	if rows < 11 { // hostile drawing, job, names; shared PC; lost link; disk; power; clock; unit; plate; stale program
		t.Errorf("%d threats in the table", rows)
	}
}
