package presets

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"path/filepath"
)

// MaxDrawing is the largest drawing that is opened, in bytes.
const MaxDrawing = 512 << 20

// Drawings hands out the files of drawings, by the paths that a job names,
// seen from a folder.
type Drawings struct{ dir string }

// DrawingsIn returns the drawings as seen from a folder.
func DrawingsIn(dir string) Drawings { return Drawings{dir} }

// Drawing reads a drawing.
func (d Drawings) Drawing(name string) ([]byte, error) {
	path := filepath.FromSlash(name)
	if !filepath.IsAbs(path) {
		path = filepath.Join(d.dir, path)
	}
	return ReadFile(path, MaxDrawing)
}

// ReadFile reads a regular file of at most the given bytes.
func ReadFile(path string, most int64) ([]byte, error) {
	// A pipe would be waited for: look before opening.
	info, err := os.Stat(path)
	switch {
	case err != nil:
		return nil, err
	case !info.Mode().IsRegular():
		return nil, fmt.Errorf("%s is no file", path)
	case info.Size() > most:
		return nil, fmt.Errorf("%s holds %d bytes, at most %d are read", path, info.Size(), most)
	}
	file, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	// At once in its full size: growing by steps would leave as much again behind.
	text := bytes.NewBuffer(make([]byte, 0, info.Size()+bytes.MinRead))
	_, err = text.ReadFrom(io.LimitReader(file, most))
	return text.Bytes(), err
}
