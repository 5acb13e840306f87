package tui

import (
	command "flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.org/kerfwright/presets"
)

// TestPicturesInTheReadme: the README shows the demo job as it looks today.
// With -update the pictures are drawn anew; look at them.
func TestPicturesInTheReadme(t *testing.T) {
	d, dir := shopFloor(t, 80, 24)
	job, files := presets.Demo()
	for name, text := range files {
		if err := os.WriteFile(filepath.Join(dir, name), text, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	path := filepath.Join(dir, presets.DemoJob)
	if err := os.WriteFile(path, job, 0o600); err != nil {
		t.Fatal(err)
	}
	d.run(d.m.open(path))
	d.quiet = true // the run stands still where it is put
	d.keys("esc v space space")
	d.m.simTo(40.5)
	picture := func() string {
		var b strings.Builder
		for _, l := range strings.Split(strings.TrimRight(trimmed(d.frame()), "\n"), "\n") {
			b.WriteString(strings.TrimRight("    "+l, " ") + "\n")
		}
		return b.String()
	}
	pictures := []string{picture()}
	d.quiet = false
	d.keys("esc v")
	d.go_(checkStage)
	pictures = append(pictures, picture())

	const file = "../README.md"
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	const from, to = "and its checks:\n\n", "\nThe wizard also resumes"
	head, rest, ok := strings.Cut(string(text), from)
	was, tail, ok2 := strings.Cut(rest, to)
	if !ok || !ok2 {
		t.Fatal("the README has no place for the pictures")
	}
	want := strings.Join(pictures, "\n")
	if was == want {
		return
	}
	if f := command.Lookup("update"); f != nil && f.Value.String() == "true" {
		if err := os.WriteFile(file, []byte(head+from+want+to+tail), 0o600); err != nil {
			t.Fatal(err)
		}
		return
	}
	t.Errorf("the README shows\n%s\nand the program\n%s\ngo test ./tui -run Readme -update draws them anew", was, want)
}
