package presets

import (
	"embed"
	"fmt"
	"io/fs"
	"sync"

	"example.org/kerfwright/planner/job"
	"github.com/BurntSushi/toml"
)

//go:embed materials process machines demo
var embedded embed.FS

// Property is one figure of a metal, with where it was read.
type Property struct {
	Value  float64
	Source string
	Mark   string
}

// Metal is the thermophysical data of one material.
type Metal struct {
	Name         string
	Density      Property `toml:"density"`       // kg/m3
	SpecificHeat Property `toml:"specific_heat"` // J/(kg K), near room temperature
	Melting      Property `toml:"melting"`       // C
	LatentHeat   Property `toml:"latent_heat"`   // J/kg, of fusion
	Conductivity Property `toml:"conductivity"`  // W/(m K)
}

// room is the temperature of the plate before the cut, C.
const room = 20.0

// MeltHeat returns the heat that melts one mm3 of the metal from 20 C, in J,
// with the specific heat of room temperature: rho (cp (Tm - 20) + L). For
// steel it is about 30 % low, since the specific heat rises on the way (1.3
// MJ/kg tabulated, from memory, against 0.92): a limit made from it is high,
// and refuses nothing that could be.
func (m Metal) MeltHeat() float64 {
	const mm3 = 1e-9 // m3
	return m.Density.Value * mm3 * (m.SpecificHeat.Value*(m.Melting.Value-room) + m.LatentHeat.Value)
}

// MetalOf returns the data of a material; ok is false for an unknown one.
func MetalOf(m job.Material) (metal Metal, ok bool) {
	metal, ok = metals()[m]
	return metal, ok
}

var metals = sync.OnceValue(func() map[job.Material]Metal {
	all := map[job.Material]Metal{}
	for _, m := range job.Materials() {
		var metal Metal
		mustRead("materials/"+string(m)+".toml", &metal)
		all[m] = metal
	}
	return all
})

// span is what practice spans for one figure.
type span struct{ From, To float64 }

func (s span) holds(v float64) bool { return s.From <= v && v <= s.To }

// practice is process/ranges.toml.
type practice struct {
	Source string `toml:"source"`
	Feed   []struct {
		Amps      float64 `toml:"amps"`
		Thickness float64 `toml:"thickness"`
		From      float64 `toml:"from"`
		To        float64 `toml:"to"`
	} `toml:"feed"`
	Current []current `toml:"current"`
	Factor  []struct {
		Material job.Material `toml:"material"`
		From     float64      `toml:"from"`
		To       float64      `toml:"to"`
	} `toml:"factor"`
	PierceDelay []struct {
		ThicknessTo float64 `toml:"thickness_to"`
		From        float64 `toml:"from"`
		To          float64 `toml:"to"`
	} `toml:"pierce_delay"`
	Height struct {
		CutFrom         float64 `toml:"cut_from"`
		CutTo           float64 `toml:"cut_to"`
		CutUsual        float64 `toml:"cut_usual"`
		PierceTimesFrom float64 `toml:"pierce_times_from"`
		PierceTimesTo   float64 `toml:"pierce_times_to"`
	} `toml:"height"`
}

// current is what practice spans at one current, in mild steel.
type current struct {
	Amps          float64 `toml:"amps"`
	KerfFrom      float64 `toml:"kerf_from"`
	KerfTo        float64 `toml:"kerf_to"`
	VoltsFrom     float64 `toml:"volts_from"`
	VoltsTo       float64 `toml:"volts_to"`
	ThicknessFrom float64 `toml:"thickness_from"`
	PierceTo      float64 `toml:"pierce_to"`
}

var ranges = sync.OnceValue(func() practice {
	var p practice
	mustRead("process/ranges.toml", &p)
	return p
})

// mustRead reads an embedded table. It is ours: a fault in it is a broken
// promise, and so is a key that nothing reads.
func mustRead(name string, into any) {
	text, err := fs.ReadFile(embedded, name)
	if err != nil {
		panic("presets: internal: " + err.Error())
	}
	md, err := toml.Decode(string(text), into)
	if err != nil {
		panic(fmt.Sprintf("presets: internal: %s: %v", name, err))
	}
	if extra := md.Undecoded(); len(extra) > 0 {
		panic(fmt.Sprintf("presets: internal: %s: nothing reads %v", name, extra))
	}
}
