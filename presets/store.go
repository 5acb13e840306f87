package presets

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"example.org/kerfwright/planner/bundle"
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

// Store is the user's folder. It is made when something is first saved.
type Store struct{ root string }

// OpenStore returns the store in a folder, which need not exist.
func OpenStore(root string) Store { return Store{root} }

// Load is Load with the store's files.
func (s Store) Load() (*Library, fault.List) {
	l, faults := Load(os.DirFS(s.root))
	for i := range faults {
		if faults[i].File != "" {
			faults[i].File = filepath.Join(s.root, faults[i].File)
		}
	}
	return l, faults
}

// SavePreset keeps a preset, in place of one that the store has for the same
// material, current and thickness. Its numbers are written in the given units.
func (s Store) SavePreset(p Preset, units unit.System) error {
	text, faults := encodePresets([]string{"A process preset of this shop."}, units, []Preset{p})
	if faults.Bad() {
		return fmt.Errorf("save the preset: %w", faults.Err())
	}
	base := slug(fmt.Sprintf("%s-%sA-%smm", p.Material, unit.Shortest(p.Process.Amps), unit.Shortest(p.Thickness)))
	return s.save(processFolder, base, text, func(name string, text []byte) (speaks, only bool) {
		found, faults := decodePresets(name, text)
		for _, q := range found {
			speaks = speaks || !faults.Bad() && q.cuts(p)
		}
		return speaks, len(found) == 1
	})
}

// SaveMachine keeps a machine profile, in place of one of the same name.
func (s Store) SaveMachine(m job.Machine, units unit.System) error {
	text, faults := EncodeMachine(m, units)
	if faults.Bad() {
		return fmt.Errorf("save the machine profile: %w", faults.Err())
	}
	return s.save(machineFolder, slug(m.Name.String()), text, func(name string, text []byte) (speaks, only bool) {
		old, faults := DecodeMachine(name, text)
		return !faults.Bad() && old.Name == m.Name, true
	})
}

// save writes base.toml, or base-2.toml and so on if the name is taken by
// something else. about says whether a file speaks of what is saved, and of
// nothing but that. A file that speaks of more, or has a fault in it, is
// somebody's work and is kept; one that speaks of the same under another name
// is an error, since it could win.
func (s Store) save(folder, base string, text []byte, about func(name string, text []byte) (speaks, only bool)) error {
	dir := Folder(filepath.Join(s.root, folder))
	if err := os.MkdirAll(string(dir), 0o777); err != nil {
		return fmt.Errorf("save in the store: %w", err)
	}
	all, err := dir.Names()
	if err != nil {
		return fmt.Errorf("save in the store: %w", err)
	}
	slices.Sort(all)
	target := ""
	for _, name := range all {
		if filepath.Ext(name) != ".toml" || strings.HasPrefix(name, ".") {
			continue
		}
		old, err := dir.Read(name)
		if err != nil {
			continue // Load tells of it
		}
		switch speaks, only := about(name, old); {
		case !speaks:
		case only && target == "" && strings.HasPrefix(name, base):
			target = name
		default:
			return fmt.Errorf("save in the store: %s speaks of the same already. Change it there, or remove it", filepath.Join(string(dir), name))
		}
	}
	for n := 2; target == ""; n++ {
		name := base + ".toml"
		if n > 2 {
			name = fmt.Sprintf("%s-%d.toml", base, n-1)
		}
		if !slices.Contains(all, name) {
			target = name
		}
	}
	return bundle.Replace(dir, []bundle.Entry{{Name: target, Data: text}})
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
