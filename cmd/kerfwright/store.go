package main

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strconv"

	"example.org/kerfwright/planner/bundle"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/report"
	"example.org/kerfwright/presets"
)

// shopCommands are those about the shop's own numbers.
func shopCommands() []command {
	return []command{
		{
			aside: shopOwn, name: "store", operand: "WHAT [FILE]", of: []string{"list", "history", "undo", "backup", "restore"}, run: store,
			what: "list, undo, back up, restore the shop's own files",
			more: "WHAT is list, history, undo, backup or restore. list names every file of the store. history FILE lists its earlier states, undo FILE puts the newest of them back (undo again brings back what stood there). backup FILE.tar.gz writes the whole store with its history into one file; restore FILE.tar.gz puts it back, and what it replaces goes into the history. Nothing that was ever saved is taken out of a history.",
			options: []option{{name: "to", arg: "N", what: "undo to this version of the history; without it the newest that differs"},
				asJSON},
		},
		{
			aside: shopOwn, name: "preset", operand: "WHAT [FILE]", of: []string{"list", "show", "learn", "compare", "retire", "export", "import"}, ends: "toml", run: preset,
			what: "show and share presets, learn from the cut log",
			more: "WHAT is list, show, learn, compare, retire, export or import. list and export take any of --material, --thickness and --amps; show, learn, compare and retire need all three. learn prints what the cut log says of the preset, and with --accept --by NAME takes it over; what stood there stays in the history. import takes presets over as starting values, whatever they were elsewhere.",
			options: []option{materialOf, thicknessOf, ampsOf, unitsOfShop,
				{name: "with", arg: "T", what: "compare: thickness of the other preset"},
				{name: "retired", what: "list and export: those that are retired too"},
				{name: "replace", what: "import: also where the shop has a preset of its own"},
				{name: "accept", what: "learn: take the proposal over"},
				{name: "by", arg: "NAME", what: "who says so"}, asJSON},
		},
		{
			aside: shopOwn, name: "coupon", operand: "KIND", of: kindWords(), run: couponJob,
			what: "make the job of a test piece",
			more: "KIND is pierce (a row of pierce delays), kerf (a square with a slot), feeds (a ladder of feeds), holes (a ladder of holes) or hold (corners to watch the height control on). The piece is sized to the metal; its job plans and proves like any other.",
			options: []option{{name: "o", arg: "JOB.toml", what: "the job file to write; one that is there stays", must: true, ends: jobEnds},
				needed(materialOf), needed(thicknessOf), needed(ampsOf), unitsOfShop,
				{name: "machine", arg: "PROFILE", what: "machine profile; without it the plain one in mm or inch"},
				{name: "steps", arg: "N", what: "steps of a ladder, 3 to 15"},
				{name: "step", arg: "S", what: "feeds: percent between two; pierce: seconds between two"}, asJSON},
		},
		{
			aside: shopOwn, name: "log", operand: "[JOB.toml]", ends: jobEnds, run: logCut,
			what: "record what was seen after a cut, or list the cut log",
			more: "With a job it keeps one entry: sizes measured, dross, bevel, arc voltage, lost arcs. Without one it lists the log.",
			options: []option{
				{name: "size", arg: "FEATURE.SIDE=LENGTH", what: "a measured size, such as p1.outline.width=60.12", many: true},
				{name: "dross", arg: "[FEATURE=]WORD", what: "none, bottom-easy, bottom-hard, top or not-through; without a feature of all", many: true},
				{name: "bevel", arg: "FEATURE=DEGREES", what: "lean of an edge, over 0 where more is cut away on top", many: true},
				{name: "volts", arg: "V", what: "arc voltage seen on a long straight side"},
				{name: "lost", arg: "N", what: "arcs that went out before the cut was done"},
				{name: "changed", what: "the consumables were changed afterwards"},
				{name: "set", arg: "NAME", what: "set of consumables; without it the fitted one"},
				{name: "by", arg: "NAME", what: "who looked"}, {name: "notes", arg: "TEXT", what: "anything else"}, asJSON},
		},
		{
			aside: shopOwn, name: "profile", operand: "WHAT [NAME | FILE]", of: []string{"list", "check", "offset"}, ends: "toml", run: profile,
			what:    "list or check machine profiles, or calibrate a sensor offset",
			more:    "WHAT is list, check FILE.toml, or offset NAME READING... . offset takes readings of the travel between the nozzle's contact and true zero: touch off, jog down until a feeler of known thickness just drags, and read how far that was, less the feeler. Three readings or more; it prints mean and spread, and with --accept puts the mean into the profile.",
			options: []option{{name: "accept", what: "offset: keep the mean in the profile"}, unitsOfShop, asJSON},
		},
		{
			aside: shopOwn, name: "consumables", run: consumables,
			what: "tell what the fitted set has behind it, or fit one",
			more: "Starts and arc-on time are counted from the cut log; how long a set lasts comes from the shop's own worn sets.",
			options: []option{{name: "fit", arg: "NAME", what: "a new set of this name is on the torch now"},
				{name: "old", arg: "WHY", what: "what became of the one before: worn, failed, or changed while still good", of: []string{"worn", "failed", "changed"}}, asJSON},
		},
	}
}

// shopStore opens the user's store.
func shopStore(w world) (presets.Store, error) {
	root, err := presets.UserFolder(w.env)
	if err != nil {
		return presets.Store{}, err
	}
	return presets.OpenStore(root), nil
}

// store looks after the files of the shop's own numbers.
func store(w world, f flags) error {
	verbs := map[string]int{"list": 1, "history": 2, "undo": 2, "backup": 2, "restore": 2}
	if len(f.rest) == 0 || verbs[f.rest[0]] != len(f.rest) {
		return usagef("store takes list, or one of history, undo, backup, restore and a file")
	}
	if f.has("to") && f.rest[0] != "undo" {
		return usagef("--to is for undo")
	}
	s, err := shopStore(w)
	if err != nil {
		return err
	}
	switch f.rest[0] {
	case "list":
		return storeList(w, f, s)
	case "backup":
		return storeBackup(w, f, s, f.rest[1])
	case "restore":
		return storeRestore(w, f, s, f.rest[1])
	}
	item, err := presets.ParseItem(f.rest[1])
	if err != nil {
		return err
	}
	if f.rest[0] == "history" {
		return storeHistory(w, f, s, item)
	}
	n := 0
	if to := f.one("to"); to != "" {
		if n, err = parseCount("to", to); err != nil {
			return err
		}
	}
	v, err := s.Undo(item, n)
	if err != nil {
		return err
	}
	r := report.StoreUndo{File: item.String(), Version: v.N, Replaced: v.At.Local().Format(dayTime)}
	return emit(w, f, r, func(out io.Writer) error {
		_, err := fmt.Fprintf(out, "%s is again as it was until %s (version %d)\n", item, r.Replaced, v.N)
		return err
	})
}

// dayTime is how a moment is told to a person.
const dayTime = "2006-01-02 15:04:05"

func storeList(w world, f flags, s presets.Store) error {
	items, err := s.Items()
	if err != nil {
		return err
	}
	r := report.StoreList{Folder: s.Root(), Files: []report.StoreFile{}}
	for _, i := range items {
		past, err := s.History(i)
		if err != nil {
			return err
		}
		_, gone := s.Read(i)
		r.Files = append(r.Files, report.StoreFile{File: i.String(), Versions: len(past), Removed: gone != nil})
	}
	_, faults := s.Load()
	r.Warnings = lines(faults)
	for _, e := range faults {
		if e.Severity > 0 {
			fmt.Fprintln(w.err, e.Error())
		}
	}
	return emit(w, f, r, r.Table)
}

func storeHistory(w world, f flags, s presets.Store, i presets.Item) error {
	past, err := s.History(i)
	if err != nil {
		return err
	}
	now, err := s.Read(i)
	if err != nil && len(past) == 0 {
		return err
	}
	r := report.StoreHistory{File: i.String(), Present: err == nil, Versions: []report.StoreVersion{}}
	for k, v := range past {
		next := now
		if k+1 < len(past) {
			next = past[k+1].Data
		}
		r.Versions = append(r.Versions, report.StoreVersion{N: v.N, Replaced: v.At.Local().Format(dayTime), Bytes: len(v.Data), Change: firstChange(v.Data, next)})
	}
	return emit(w, f, r, r.Table)
}

// firstChange tells the first line that the next state has otherwise.
func firstChange(old, now []byte) string {
	a, b := bytes.Split(old, []byte("\n")), bytes.Split(now, []byte("\n"))
	for i := range max(len(a), len(b)) {
		var x, y []byte
		if i < len(a) {
			x = a[i]
		}
		if i < len(b) {
			y = b[i]
		}
		if !bytes.Equal(x, y) {
			return plain.Clean(string(x)) + " -> " + plain.Clean(string(y))
		}
	}
	return ""
}

func storeBackup(w world, f flags, s presets.Store, name string) error {
	var b bytes.Buffer
	n, err := s.Backup(&b)
	if err != nil {
		return err
	}
	if n == 0 {
		return fmt.Errorf("%s holds nothing yet: there is nothing to back up", s.Root())
	}
	dir := presets.Folder(filepath.Dir(name))
	if err := bundle.Replace(dir, []bundle.Entry{{Name: filepath.Base(name), Data: b.Bytes()}}); err != nil {
		return fmt.Errorf("save the backup: %w", err)
	}
	r := report.StoreBackup{File: name, Files: n}
	return emit(w, f, r, func(out io.Writer) error {
		_, err := fmt.Fprintf(out, "%s: %s of %s. To put them back: kerfwright store restore %s\n", plain.Clean(name), filesText(n), s.Root(), plain.Clean(name))
		return err
	})
}

func filesText(n int) string {
	if n == 1 {
		return "1 file"
	}
	return strconv.Itoa(n) + " files"
}

func storeRestore(w world, f flags, s presets.Store, name string) error {
	file, err := os.Open(name)
	if err != nil {
		return fmt.Errorf("open the backup: %w", err)
	}
	defer file.Close()
	if info, err := file.Stat(); err != nil || !info.Mode().IsRegular() {
		return fmt.Errorf("open the backup: %s is no file", plain.Clean(name))
	}
	got, err := s.Restore(file)
	if err != nil {
		return err
	}
	r := report.StoreRestore{Folder: s.Root(), Same: got.Same, History: got.History, Put: []string{}, Kept: []string{}}
	for _, i := range got.Put {
		r.Put = append(r.Put, i.String())
	}
	for _, i := range got.Kept {
		r.Kept = append(r.Kept, i.String())
	}
	return emit(w, f, r, r.Table)
}
