package presets

import (
	"io/fs"
	"path"
)

// DemoJob is the name of the demo's job file.
const DemoJob = "hinge-leaf.toml"

// Demo returns the demo: the job file and the drawings that it names. It is a
// leaf of a strap hinge for a farm gate, four of them on a plate of 6 mm.
func Demo() (job []byte, drawings map[string][]byte) {
	entries, err := fs.ReadDir(embedded, "demo")
	if err != nil {
		panic("presets: internal: " + err.Error())
	}
	drawings = map[string][]byte{}
	for _, e := range entries {
		text, err := fs.ReadFile(embedded, path.Join("demo", e.Name()))
		if err != nil {
			panic("presets: internal: " + err.Error())
		}
		if e.Name() == DemoJob {
			job = text
			continue
		}
		drawings[e.Name()] = text
	}
	return job, drawings
}
