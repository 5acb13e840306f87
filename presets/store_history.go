package presets

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strconv"
	"strings"
	"time"

	"example.org/kerfwright/planner/bundle"
)

// A version lies in history/FOLDER/NAME/ as 000012-20260504T102030Z.toml: its
// number, and when it was replaced.
const versionTime = "20060102T150405Z"

func versionName(n int, at time.Time, ext string) string {
	return fmt.Sprintf("%06d-%s%s", n, at.UTC().Format(versionTime), ext)
}

// parseVersion reads a version's name; ok is false for other files.
func parseVersion(name string) (v Version, ok bool) {
	number, rest, found := strings.Cut(strings.TrimSuffix(name, path.Ext(name)), "-")
	n, err := strconv.Atoi(number)
	at, terr := time.Parse(versionTime, rest)
	if !found || err != nil || terr != nil || n < 1 {
		return Version{}, false
	}
	return Version{N: n, At: at}, true
}

// versions lists an item's history without its data, oldest first.
func (s Store) versions(i Item) ([]Version, []string, error) {
	all, err := s.disk.dir(i.history()).Names()
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil, nil
	}
	if err != nil {
		return nil, nil, err
	}
	slices.Sort(all)
	var out []Version
	var names []string
	for _, name := range all {
		if v, ok := parseVersion(name); ok {
			out, names = append(out, v), append(names, name)
		}
	}
	return out, names, nil
}

// remember puts what a file holds into its history, unless the newest version
// is the same already: a write that was cut short left it there.
func (s Store) remember(i Item, data []byte) error {
	all, names, err := s.versions(i)
	if err != nil {
		return fmt.Errorf("its history: %w", err)
	}
	n := 1
	d := s.disk.dir(i.history())
	if k := len(all); k > 0 {
		n = all[k-1].N + 1
		if last, err := d.Read(names[k-1]); err == nil && bytes.Equal(last, data) {
			return nil
		}
	}
	if err := s.disk.make(i.history()); err != nil {
		return fmt.Errorf("its history: %w", err)
	}
	if err := bundle.Replace(d, []bundle.Entry{{Name: versionName(n, s.disk.now(), path.Ext(i.Name)), Data: data}}); err != nil {
		return fmt.Errorf("its history: %w", err)
	}
	return nil
}

// History returns the earlier states of a file, oldest first. A version that
// cannot be read has no data.
func (s Store) History(i Item) ([]Version, error) {
	if err := i.check(); err != nil {
		return nil, err
	}
	all, names, err := s.versions(i)
	if err != nil {
		return nil, fmt.Errorf("the history of %s: %w", i, err)
	}
	d := s.disk.dir(i.history())
	for k := range all {
		all[k].Data, _ = d.Read(names[k])
	}
	return all, nil
}

// Undo puts an earlier state of a file back: version n, or for 0 the newest
// that differs from what stands there now. What stands there goes into the
// history, so that an undo can be undone. It returns the version put back.
func (s Store) Undo(i Item, n int) (Version, error) {
	var back Version
	err := s.Change(i, func(old []byte) ([]byte, error) {
		all, names, err := s.versions(i)
		if err != nil {
			return nil, fmt.Errorf("the history of %s: %w", i, err)
		}
		d := s.disk.dir(i.history())
		for k, v := range slices.Backward(all) {
			if n != 0 && n != v.N {
				continue
			}
			// One that cannot be read is not passed over: the person would get
			// an older state than the one meant.
			if v.Data, err = d.Read(names[k]); err != nil {
				return nil, fmt.Errorf("version %d of %s cannot be read: %w. Name another one", v.N, i, err)
			}
			if n == v.N || old == nil || !bytes.Equal(v.Data, old) {
				back = v
				return v.Data, nil
			}
		}
		if n > 0 {
			return nil, fmt.Errorf("%s has no version %d in its history", i, n)
		}
		return nil, fmt.Errorf("%s has no earlier version in its history", i)
	})
	return back, err
}

// Items lists every file that the store holds or has a history of, sorted.
func (s Store) Items() ([]Item, error) {
	seen := map[Item]bool{}
	var out []Item
	add := func(i Item) {
		if !seen[i] && i.check() == nil {
			seen[i] = true
			out = append(out, i)
		}
	}
	var walk func(folder string, depth int, past bool) error
	walk = func(folder string, depth int, past bool) error {
		d := s.disk.dir(folder)
		all, err := d.Names()
		if errors.Is(err, fs.ErrNotExist) {
			return nil
		}
		if err != nil {
			return err
		}
		slices.Sort(all)
		for _, name := range all {
			kind, err := d.Kind(name)
			if err != nil {
				return err
			}
			full := path.Join(folder, name)
			switch {
			case strings.HasPrefix(name, "."):
			case kind == bundle.Other && past && path.Ext(name) == ".toml":
				below := strings.TrimPrefix(strings.TrimPrefix(folder, historyFolder), "/")
				add(Item{below, name})
			case kind == bundle.Other && depth > 0:
				if err := walk(full, depth-1, past || full == historyFolder); err != nil {
					return err
				}
			case !past && path.Ext(name) == ".toml" && (kind == bundle.Regular || kind == bundle.Protected):
				add(Item{folder, name})
			}
		}
		return nil
	}
	const depth = 4 // history/FOLDER/NAME/ and one to spare
	if err := walk("", depth, false); err != nil {
		return nil, fmt.Errorf("look through the store: %w", err)
	}
	slices.SortFunc(out, func(a, b Item) int { return strings.Compare(a.String(), b.String()) })
	return out, nil
}
