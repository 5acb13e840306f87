package bundle_test

import (
	"fmt"
	"io/fs"
	"maps"
	"slices"
	"strings"

	"example.org/kerfwright/planner/bundle"
)

// memory is a folder in memory. Every call counts; fail decides which of them
// go wrong, kill at which of them the process dies.
type memory struct {
	files map[string][]byte
	kinds map[string]bundle.Kind // of what is no plain file
	calls []string
	fail  func(n int, call string) error
	kill  int
	short bool // a failing write has written half
	lie   bool // a write keeps half and says nothing
	next  int
}

type killed struct{}

func folder(files map[string]string) *memory {
	m := &memory{files: map[string][]byte{}, kinds: map[string]bundle.Kind{}, fail: func(int, string) error { return nil }}
	for name, text := range files {
		m.files[name] = []byte(text)
	}
	return m
}

func (m *memory) call(format string, args ...any) error {
	m.calls = append(m.calls, fmt.Sprintf(format, args...))
	if len(m.calls) == m.kill {
		panic(killed{})
	}
	return m.fail(len(m.calls), m.calls[len(m.calls)-1])
}

func (m *memory) Kind(name string) (bundle.Kind, error) {
	if err := m.call("kind %s", name); err != nil {
		return 0, err
	}
	if k, ok := m.kinds[name]; ok {
		return k, nil
	}
	if _, ok := m.files[name]; ok {
		return bundle.Regular, nil
	}
	return bundle.Absent, nil
}

func (m *memory) Temp(name string) (bundle.File, error) {
	if err := m.call("temp %s", name); err != nil {
		return nil, err
	}
	m.next++
	temp := bundle.TempName(name, fmt.Sprint("r", m.next))
	m.files[temp] = nil
	return &memoryFile{m, temp}, nil
}

func (m *memory) Rename(from, to string) error {
	if err := m.call("rename to %s", to); err != nil {
		return err
	}
	data, ok := m.files[from]
	if !ok {
		return fs.ErrNotExist
	}
	delete(m.files, from)
	m.files[to] = data
	return nil
}

func (m *memory) Remove(name string) error {
	if err := m.call("remove"); err != nil {
		return err
	}
	if _, ok := m.files[name]; !ok {
		return fs.ErrNotExist
	}
	delete(m.files, name)
	return nil
}

func (m *memory) Read(name string) ([]byte, error) {
	if err := m.call("read %s", name); err != nil {
		return nil, err
	}
	data, ok := m.files[name]
	if !ok {
		return nil, fs.ErrNotExist
	}
	return data, nil
}

func (m *memory) Names() ([]string, error) {
	if err := m.call("names"); err != nil {
		return nil, err
	}
	return slices.Sorted(maps.Keys(m.files)), nil
}

func (m *memory) Sync() error { return m.call("sync folder") }

type memoryFile struct {
	m    *memory
	name string
}

func (f *memoryFile) Name() string { return f.name }

func (f *memoryFile) Write(p []byte) (int, error) {
	err := f.m.call("write %s", f.name)
	switch {
	case err != nil && f.m.short:
		f.m.files[f.name] = append(f.m.files[f.name], p[:len(p)/2]...)
		return len(p) / 2, err
	case err != nil:
		return 0, err
	case f.m.lie:
		f.m.files[f.name] = append(f.m.files[f.name], p[:len(p)/2]...)
		return len(p), nil
	}
	f.m.files[f.name] = append(f.m.files[f.name], p...)
	return len(p), nil
}

func (f *memoryFile) Size() (int64, error) { return int64(len(f.m.files[f.name])), f.m.call("size") }
func (f *memoryFile) Sync() error          { return f.m.call("sync file") }
func (f *memoryFile) Close() error         { return f.m.call("close") }

func (m *memory) temps() (left []string) {
	for name := range m.files {
		if strings.HasPrefix(name, ".") {
			left = append(left, name)
		}
	}
	return left
}
