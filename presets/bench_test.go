package presets_test

import (
	"testing"

	"example.org/kerfwright/presets"
)

func BenchmarkLoad(b *testing.B) {
	for b.Loop() {
		if _, faults := presets.Load(nil); len(faults) > 0 {
			b.Fatal(faults)
		}
	}
}
