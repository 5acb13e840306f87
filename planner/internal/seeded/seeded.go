// Package seeded gives random tests the same seed in every run, so that a
// result can be had twice; -rapid.seed tries others. Tests import it for
// that effect alone; nothing else may.
package seeded

import (
	"flag"

	_ "pgregory.net/rapid" // whose flag it sets
)

// init runs before flags are parsed: what the command line says still counts.
func init() {
	if err := flag.Set("rapid.seed", "1"); err != nil {
		panic("seeded: internal: " + err.Error())
	}
}
