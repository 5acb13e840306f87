package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"example.org/kerfwright/planner/bundle"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/presets"
	"example.org/kerfwright/tui"
)

// wizard opens the full-screen wizard on a job, on drawings, or empty.
func wizard(w world, f flags) error {
	for _, name := range f.rest {
		if _, err := os.Stat(name); err != nil {
			if !strings.ContainsAny(name, "./\\") {
				return usagef("no command and no file %q", plain.Clean(name))
			}
			return fmt.Errorf("open %s: %w", plain.Clean(name), errors.Unwrap(err))
		}
	}
	if jobs := slices.DeleteFunc(slices.Clone(f.rest), func(n string) bool { return filepath.Ext(n) != ".toml" }); len(jobs) > 0 && len(f.rest) > 1 {
		return usagef("the wizard takes one job file, or drawings for a new job")
	}
	lines := f.has("lines")
	if !lines && !onTerminal(w) {
		return usagef("the wizard needs a terminal; for scripts there are the commands %s", forScripts())
	}
	lines = lines || tui.Terminal(w.env) != nil
	ctx, caught, stop := untilSignal()
	defer stop()
	session := tui.Session{
		In: w.in, Out: w.out, Paths: f.rest, Holder: &tui.Holder{}, Lines: lines,
		ASCII: f.has("ascii") || tui.WantsASCII(w.env), NoColor: w.env("NO_COLOR") != "",
	}
	result, err := runGuarded(ctx, session, caught)
	for _, l := range result.Lines() {
		fmt.Fprintln(w.out, plain.Clean(l))
	}
	if s := caught(); s != nil {
		return *s
	}
	return err
}

// demo opens the wizard on the demo job, in a folder of its own so that it
// can be saved: the one given, else one in the user's cache. Without a
// terminal, it plans the job as the command plan does.
func demo(w world, f flags) error {
	if len(f.rest) > 1 {
		return usagef("demo takes at most one folder")
	}
	dir := ""
	if len(f.rest) == 1 {
		dir = f.rest[0]
	} else {
		cache, err := os.UserCacheDir()
		if err != nil {
			return fmt.Errorf("no folder for the demo: %w; name one", err)
		}
		dir = filepath.Join(cache, "kerfwright", "demo")
	}
	job, err := layDemo(dir)
	if err != nil {
		return err
	}
	if !f.has("lines") && !onTerminal(w) {
		fmt.Fprintln(w.err, "No terminal for the wizard: the demo job is planned, proved and written instead.")
		return plan(w, flags{rest: []string{job}})
	}
	return wizard(w, flags{values: f.values, rest: []string{job}})
}

// layDemo puts the demo's files into dir, without touching any that are there.
func layDemo(dir string) (jobFile string, err error) {
	if err := os.MkdirAll(dir, 0o777); err != nil {
		return "", fmt.Errorf("make the demo's folder: %w", err)
	}
	text, drawings := presets.Demo()
	var entries []bundle.Entry
	add := func(name string, data []byte) {
		if _, err := os.Lstat(filepath.Join(dir, name)); err != nil {
			entries = append(entries, bundle.Entry{Name: name, Data: data})
		}
	}
	var names []string
	for name := range drawings {
		names = append(names, name)
	}
	slices.Sort(names)
	for _, name := range names {
		add(name, drawings[name])
	}
	add(presets.DemoJob, text)
	if len(entries) > 0 {
		if err := bundle.Replace(presets.Folder(dir), entries); err != nil {
			return "", fmt.Errorf("lay out the demo: %w", err)
		}
	}
	return filepath.Join(dir, presets.DemoJob), nil
}
