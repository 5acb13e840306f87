package presets

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/unit"
)

// appFolder is our folder below the user's configuration folder.
const appFolder = "kerfwright"

// UserFolder returns where the user's own presets and profiles lie, after the
// XDG Base Directory Specification: $XDG_CONFIG_HOME/kerfwright, or
// $HOME/.config/kerfwright if the first is not set or not absolute, which the
// specification says to ignore. It need not exist.
func UserFolder(getenv func(string) string) (string, error) {
	if base := getenv("XDG_CONFIG_HOME"); filepath.IsAbs(base) {
		return filepath.Join(base, appFolder), nil
	}
	home := getenv("HOME")
	if !filepath.IsAbs(home) {
		return "", fmt.Errorf("no folder for your own presets: set HOME or XDG_CONFIG_HOME to an absolute path")
	}
	return filepath.Join(home, ".config", appFolder), nil
}

// Store is the user's folder: presets, machine profiles, prices, the cut log,
// sets of consumables. It is made when something is first saved. How it keeps
// what is written is said in store_write.go.
type Store struct {
	root string // for messages
	disk disk
}

// OpenStore returns the store in a folder, which need not exist.
func OpenStore(root string) Store { return Store{root, realDisk{root}} }

// Root returns the store's folder.
func (s Store) Root() string { return s.root }

// Load is Load with the store's files.
func (s Store) Load() (*Library, fault.List) {
	l, faults := Load(os.DirFS(s.root))
	return l, s.placed(faults)
}

// placed names the files of faults in full, and says what brings an earlier
// state of a broken one back.
func (s Store) placed(faults fault.List) fault.List {
	for i := range faults {
		f := &faults[i]
		if f.File == "" {
			continue
		}
		if item, err := ParseItem(f.File); err == nil && f.Severity == fault.Error {
			if all, err := s.History(item); err == nil && len(all) > 0 {
				f.Do = strings.TrimSpace(f.Do + fmt.Sprintf(" Or bring its last good state back: kerfwright store undo %s", item))
			}
		}
		f.File = filepath.Join(s.root, f.File)
	}
	return faults
}

// Saved says where something was saved.
type Saved struct {
	Item  Item
	Aside string // the name that a broken file in its place has now; "" if there was none
}

// Told says in a sentence what became of a broken file; "" if there was none.
func (s Saved) Told() string {
	if s.Aside == "" {
		return ""
	}
	return fmt.Sprintf("%s could not be read: it is kept as %s", s.Item, s.Aside)
}

// SavePreset keeps a preset, in place of one that the store has for the same
// material, current and thickness. Its numbers are written in the given units.
func (s Store) SavePreset(p Preset, units unit.System) (Saved, error) {
	return s.savePreset(nil, p, units)
}

// EditPreset keeps an edited preset. was is the state that the edit began
// from: what another session has changed since is merged, figure by figure; a
// figure that both changed is a *Conflict, and nothing is written.
func (s Store) EditPreset(was, now Preset, units unit.System) (Saved, error) {
	return s.savePreset(&was, now, units)
}

func (s Store) savePreset(was *Preset, p Preset, units unit.System) (Saved, error) {
	encode := func(p Preset) ([]byte, error) {
		text, faults := encodePresets([]string{"A process preset of this shop."}, units, []Preset{p})
		if faults.Bad() {
			return nil, fmt.Errorf("save the preset: %w", faults.Err())
		}
		return text, nil
	}
	if _, err := encode(p); err != nil {
		return Saved{}, err
	}
	base := slug(fmt.Sprintf("%s-%sA-%smm", p.Material, unit.Shortest(p.Process.Amps), unit.Shortest(p.Thickness)))
	var theirs *Preset
	about := func(name string, text []byte) standing {
		found, faults := decodePresets(name, text)
		if faults.Bad() {
			return broken
		}
		for i, q := range found {
			if q.cuts(p) {
				if theirs = &found[i]; len(found) == 1 {
					return same
				}
				return sameAndMore
			}
		}
		return other
	}
	return s.keep(processFolder, base, about, func() ([]byte, error) {
		if was == nil || theirs == nil {
			return encode(p)
		}
		from, to := *was, p
		from.Own, to.Own, from.File, to.File = false, false, "", ""
		merged, both := merge3(from, *theirs, to)
		if len(both) > 0 {
			return nil, &Conflict{What: p.Name(), Fields: both}
		}
		return encode(merged)
	})
}

// SaveMachine keeps a machine profile, in place of one of the same name.
func (s Store) SaveMachine(m job.Machine, units unit.System) (Saved, error) {
	return s.saveMachine(nil, m, units)
}

// EditMachine is EditPreset for a machine profile.
func (s Store) EditMachine(was, now job.Machine, units unit.System) (Saved, error) {
	return s.saveMachine(&was, now, units)
}

func (s Store) saveMachine(was *job.Machine, m job.Machine, units unit.System) (Saved, error) {
	encode := func(m job.Machine) ([]byte, error) {
		text, faults := EncodeMachine(m, units)
		if faults.Bad() {
			return nil, fmt.Errorf("save the machine profile: %w", faults.Err())
		}
		return text, nil
	}
	if _, err := encode(m); err != nil {
		return Saved{}, err
	}
	var theirs *job.Machine
	about := func(name string, text []byte) standing {
		old, faults := DecodeMachine(name, text)
		switch {
		case faults.Bad() && old.Name != m.Name:
			return broken
		case old.Name != m.Name:
			return other
		case faults.Bad():
			return broken
		}
		theirs = &old
		return same
	}
	return s.keep(machineFolder, slug(m.Name.String()), about, func() ([]byte, error) {
		if was == nil || theirs == nil {
			return encode(m)
		}
		merged, both := merge3(*was, *theirs, m)
		if len(both) > 0 {
			return nil, &Conflict{What: m.Name.String(), Fields: both}
		}
		return encode(merged)
	})
}

// standing says what a file has to do with what is to be saved.
type standing int

const (
	other       standing = iota // nothing
	same                        // it speaks of the same, and of nothing else
	sameAndMore                 // it speaks of the same among other things
	broken                      // it cannot be read
)

// keep writes base.toml, or base-2.toml and so on if the name is taken by
// something else. A file that speaks of more is somebody's work and is kept:
// it is an error, since it could win over what is saved. One in the way that
// cannot be read is moved aside.
func (s Store) keep(folder, base string, about func(name string, text []byte) standing, text func() ([]byte, error)) (Saved, error) {
	var saved Saved
	err := s.locked(func() error {
		all, err := s.names(folder)
		if err != nil {
			return fmt.Errorf("save in the store: %w", err)
		}
		target, free := "", ""
		taken := map[string]standing{}
		for _, name := range all {
			old, err := s.read(Item{folder, name})
			if err != nil {
				taken[name] = other // Load tells of it
				continue
			}
			taken[name] = about(name, old)
			switch how := taken[name]; {
			case how == same && target == "" && strings.HasPrefix(name, base):
				target = name
			case how == same || how == sameAndMore:
				return fmt.Errorf("save in the store: %s speaks of the same already. Change it there, or remove it", filepath.Join(s.root, folder, name))
			}
		}
		for n := 1; target == "" && free == ""; n++ {
			name := base + ".toml"
			if n > 1 {
				name = fmt.Sprintf("%s-%d.toml", base, n)
			}
			if how, there := taken[name]; !there || how == broken {
				free = name
			}
		}
		if target == "" {
			target = free
		}
		saved.Item = Item{folder, target}
		now, err := text()
		if err != nil {
			return err
		}
		if taken[target] == broken {
			if saved.Aside, err = s.setAside(saved.Item); err != nil {
				return fmt.Errorf("save %s: the file there cannot be read and could not be moved aside: %w", saved.Item, err)
			}
		}
		return s.change(saved.Item, func([]byte) ([]byte, error) { return now, nil })
	})
	return saved, err
}

// slug turns a name into the base of a file name: letters, digits, points and
// hyphens of ASCII, at most 60.
func slug(name string) string {
	var b strings.Builder
	for _, r := range strings.ToLower(name) {
		switch {
		case r >= 'a' && r <= 'z', r >= '0' && r <= '9', r == '.' && b.Len() > 0:
			b.WriteRune(r)
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
		if b.Len() == 60 {
			break
		}
	}
	if s := strings.Trim(b.String(), "-."); s != "" {
		return s
	}
	return "unnamed"
}
