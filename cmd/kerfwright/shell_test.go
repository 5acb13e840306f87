package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// The smallest screen that a terminal has is 80 by 24 (ECMA-48 terminals since
// the first; common practice, no source).
func TestHelpFitsTheSmallestScreen(t *testing.T) {
	fits := func(name, text string, most int) {
		t.Helper()
		lines := strings.Split(strings.TrimRight(text, "\n"), "\n")
		if len(lines) > most {
			t.Errorf("%s has %d lines, %d fit:\n%s", name, len(lines), most, text)
		}
		for _, l := range lines {
			if len(l) > helpWidth {
				t.Errorf("%s: %d columns: %q", name, len(l), l)
			}
		}
	}
	fits("help", overview(), helpLines-1) // one line is the prompt's
	for _, c := range commands() {
		fits("help "+c.name, helpOf(c), 2*helpLines)
		if !strings.Contains(overview(), " "+c.name) {
			t.Errorf("help does not name %s", c.name)
		}
	}
}

func TestEveryOptionOfTheTableIsTakenAndNoOther(t *testing.T) {
	for _, c := range commands() {
		for _, o := range c.options {
			args := []string{o.dashed()}
			if o.arg != "" {
				args = append(args, "x")
			}
			if f, err := parse(args, c.options); err != nil || !f.has(o.name) {
				t.Errorf("%s %v: %v", c.name, args, err)
			}
		}
		if _, err := parse([]string{"--nothing"}, c.options); err == nil {
			t.Errorf("%s takes an option that it does not have", c.name)
		}
	}
}

// A mistake in the page shows as a warning of the program that sets it
// (groff_man(7)); -ww turns all of them on.
func TestManualPageIsSetWithoutAWarning(t *testing.T) {
	groff, err := exec.LookPath("groff")
	if err != nil {
		t.Skip("no groff here")
	}
	set := func(page string) (out, warned string) {
		cmd := exec.Command(groff, "-man", "-Tascii", "-ww", "-P-cbou", "-rLL=80n")
		cmd.Stdin = strings.NewReader(page)
		var o, e strings.Builder
		cmd.Stdout, cmd.Stderr = &o, &e
		if err := cmd.Run(); err != nil {
			t.Fatal(err, e.String())
		}
		return o.String(), e.String()
	}
	text, warned := set(manPage())
	if warned != "" {
		t.Errorf("groff warns: %s", warned)
	}
	squeeze := func(s string) string { // hyphens at line ends and spread blanks are the setter's
		return strings.Join(strings.Fields(regexp.MustCompile(`-\n\s*`).ReplaceAllString(s, "")), "")
	}
	flat := squeeze(text)
	has := func(s string) {
		t.Helper()
		if !strings.Contains(strings.ReplaceAll(flat, "-", ""), strings.ReplaceAll(squeeze(s), "-", "")) {
			t.Errorf("the page lacks %q", s)
		}
	}
	for _, c := range commands() {
		has("kerfwright " + c.call())
		has(sentence(c.what))
		for _, o := range c.options {
			has(o.dashed() + " " + o.arg)
			has(sentence(o.what))
		}
	}
	for _, e := range exitCodes {
		has(e.code)
	}
	has(caution)
	// The check itself must be able to fail.
	if _, warned := set(manPage() + ".XX\n\\fQbroken\n"); warned == "" {
		t.Error("groff does not warn of a page that is wrong")
	}
}

// Each shell is asked what it would offer, in a folder with files.
func TestShellsOfferWhatTheTableHolds(t *testing.T) {
	dir := t.TempDir()
	for _, name := range []string{"hinge.toml", "hinge.dxf", "hinge.nc", "notes.txt"} {
		if err := os.WriteFile(filepath.Join(dir, name), nil, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	write := func(name, text string) string {
		p := filepath.Join(t.TempDir(), name)
		if err := os.WriteFile(p, []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
		return p
	}
	ask := map[string]func(line string) []string{}
	if bash, err := exec.LookPath("bash"); err == nil {
		file := write("k.bash", forBash())
		ask["bash"] = func(line string) []string {
			script := `source "$1"; COMP_WORDS=($2); [[ $2 == *" " ]] && COMP_WORDS+=("")
COMP_CWORD=$((${#COMP_WORDS[@]}-1)); _kerfwright; printf '%s\n' "${COMPREPLY[@]}"`
			cmd := exec.Command(bash, "--norc", "-c", script, "bash", file, line)
			cmd.Dir = dir
			out, err := cmd.Output()
			if err != nil {
				t.Error(err)
			}
			return strings.Fields(string(out))
		}
	}
	if fish, err := exec.LookPath("fish"); err == nil {
		file := write("k.fish", forFish())
		ask["fish"] = func(line string) []string {
			cmd := exec.Command(fish, "--no-config", "-c", "source $argv[1]; complete -C $argv[2]", file, line)
			cmd.Dir = dir
			cmd.Env = append(os.Environ(), "HOME="+dir, "XDG_CONFIG_HOME="+dir)
			out, err := cmd.Output()
			if err != nil {
				t.Error(err)
			}
			var words []string
			for _, l := range strings.Split(string(out), "\n") {
				word, _, _ := strings.Cut(l, "\t")
				words = append(words, word)
			}
			return words
		}
	}
	if len(ask) == 0 {
		t.Skip("neither bash nor fish here")
	}
	for shell, offers := range ask {
		for _, c := range []struct {
			line       string
			want, lack []string
		}{
			{"kerfwright ", []string{"inspect", "plan", "hinge.toml", "hinge.dxf"}, []string{"notes.txt", "hinge.nc"}},
			{"kerfwright pl", []string{"plan"}, []string{"inspect"}},
			{"kerfwright plan ", []string{"hinge.toml"}, []string{"hinge.dxf", "inspect"}},
			{"kerfwright plan --", []string{"--json"}, []string{"--material", "--keys"}},
			{"kerfwright proof ", []string{"hinge.toml", "hinge.nc"}, []string{"hinge.dxf"}},
			{"kerfwright new hinge.dxf --material ", []string{"mild-steel", "aluminium"}, []string{"hinge.dxf", "mm"}},
			{"kerfwright completion ", []string{"bash", "zsh", "fish"}, []string{"hinge.toml"}},
			{"kerfwright help re", []string{"resume"}, []string{"plan"}},
		} {
			got := offers(c.line)
			for _, w := range c.want {
				if !slices.Contains(got, w) {
					t.Errorf("%s, %q: %q is not offered: %q", shell, c.line, w, got)
				}
			}
			for _, w := range c.lack {
				if slices.Contains(got, w) {
					t.Errorf("%s, %q: %q is offered: %q", shell, c.line, w, got)
				}
			}
		}
	}
}

// Zsh completes only at a prompt; here its grammar reads the file, and every
// option stands in it.
func TestZshReadsItsCompletion(t *testing.T) {
	text := forZsh()
	for _, c := range commands() {
		for _, o := range c.options {
			if !strings.Contains(text, o.dashed()+"[") {
				t.Errorf("%s %s is missing", c.name, o.dashed())
			}
		}
	}
	zsh, err := exec.LookPath("zsh")
	if err != nil {
		t.Skip("no zsh here")
	}
	cmd := exec.Command(zsh, "-f", "-n", "/dev/stdin")
	cmd.Stdin = strings.NewReader(text)
	if out, err := cmd.CombinedOutput(); err != nil || len(out) > 0 {
		t.Errorf("zsh: %v %s", err, out)
	}
}
