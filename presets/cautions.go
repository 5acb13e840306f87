package presets

import (
	"fmt"

	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/unit"
)

// Station is where a person stands to see that a caution is met.
type Station string

const (
	AtPlate  Station = "plate"
	AtTorch  Station = "torch"
	AtSupply Station = "supply"
	AtPC     Station = "pc"
	OnPerson Station = "person"
)

// Caution is one thing to see to before the torch is lit. Text says what
// holds once a person has confirmed it.
type Caution struct {
	ID     string // stable
	Where  Station
	Text   string
	Figure string // such as "35 ft (11 m)"; "" for none
	Source string
}

const practiceOnly = "common practice, no source"

// NotInstead is shown beside the list.
const NotInstead = "This list is a reminder. It does not replace local codes, the machine's manual, training, or a qualified person's word."

// The figures of the cautions. Where two sources differ, the stricter one is
// told and the text names both.
const (
	hotWorkFigure = "35 ft (11 m)"
	hotWorkSource = "29 CFR 1910.252(a)(2): 35 ft; NFPA 51B prints 35 ft (11 m)"
	watchFigure   = "60 min"
	watchSource   = "NFPA 51B:2019 5.6.1.1: one hour; 29 CFR 1910.252(a)(2)(iii)(B): at least half an hour"
	hearingFigure = "85 dBA over 8 h"
	hearingSource = "29 CFR 1910.95(c)"
	zincFigure    = "zinc oxide fume 5 mg/m3 over 8 h, 10 mg/m3 for 15 min"
	zincSource    = "29 CFR 1910.1000 table Z-1; NIOSH Pocket Guide"
	chromeFigure  = "Cr(VI) 5 ug/m3 over 8 h; NIOSH advises 0.2"
	chromeSource  = "29 CFR 1910.1026(c); NIOSH 2013-128"
	mangaFigure   = "manganese 5 mg/m3 at any time; NIOSH advises 1 over a shift"
	mangaSource   = "29 CFR 1910.1000 table Z-1; NIOSH limits as OSHA's chemical sampling page gives them"
	gasFigure     = "hydrogen burns from 4 to 75 % in air; 1 g of aluminium can make 1.36 L of it"
	gasSource     = "usual figures for hydrogen; 2 Al + 3 H2O at 25 C, derived"
	voltFigure    = "200 to 400 V"
)

// Cautions returns what to see to before cutting, in the order in which a
// person walks round the machine. Unknown values leave out what depends on
// them; a current of 0 A is unknown.
func Cautions(m job.Material, surface job.Surface, under job.Under, amps float64) []Caution {
	all := []Caution{
		{"stock", AtPlate, "The stock lies flat, is clamped or weighted, and is clean along the cuts.", "", practiceOnly},
		{"work-clamp", AtPlate, "The work clamp sits on bare metal of this stock.", "", practiceOnly},
		fume(m, under),
	}
	all = append(all, surfaceCautions(surface)...)
	all = append(all, metalCautions(m, under)...)
	at := ""
	if amps > 0 {
		at = unit.Number(amps, 1) + " A"
	}
	return append(all,
		Caution{"flammables", AtPlate, "Nothing that burns, and no closed vessel, is within the distance; what cannot be moved is shielded.", hotWorkFigure, hotWorkSource},
		Caution{"people", AtPlate, "Nobody is within reach of the moving machine, and the stop button is at hand.", "", practiceOnly},
		Caution{"consumables", AtTorch, "Electrode, nozzle and shield are fitted, sound, and the ones for this current.", at, practiceOnly},
		Caution{"power-off", AtSupply, "The supply was off whenever the torch was open: its voltage without load kills.", voltFigure, practiceOnly},
		Caution{"gas", AtSupply, "Gas pressure and flow are what the torch's manual asks for at this current, and the air is drained and dry.", at,
			"29 CFR 1910.169(b)(2) for the drain; the torch's manual for the figures"},
		shadeCaution(amps),
		Caution{"hearing", OnPerson, "Hearing is protected: plasma cutting is usually louder than the limit.", hearingFigure, hearingSource},
		Caution{"fire-watch", OnPerson, "Somebody with an extinguisher watches for fire while cutting and for the time after it.", watchFigure, watchSource},
		Caution{"zero", AtPC, "XY zero is set on the stock's corner that the program names.", "", practiceOnly},
		Caution{"dry-run", AtPC, "The dry run was watched to its end: it stays on the stock and clear of clamps.", "", practiceOnly},
	)
}

func fume(m job.Material, under job.Under) Caution {
	c := Caution{ID: "fume", Where: AtPlate, Source: practiceOnly}
	switch under {
	case job.WaterTable:
		c.Text = "The water stands at its level under the stock, and the room is aired."
	case job.DownDraft:
		c.Text = "The downdraft runs and draws under the whole stock."
	default:
		c.Text = "Extraction runs, or fresh air carries the fume away from everybody."
	}
	if m == job.MildSteel {
		c.Figure, c.Source = mangaFigure, mangaSource
	}
	return c
}

func surfaceCautions(s job.Surface) []Caution {
	switch s {
	case job.Galvanised:
		return []Caution{{"galvanised", AtPlate, "Zinc fume makes people ill for a day or more: it is drawn off at the cut, and whoever stays near wears a respirator for it.", zincFigure, zincSource}}
	case job.Painted:
		return []Caution{{"painted", AtPlate, "It is known what the coating is, and it is off along the cuts if it holds lead, chromate or isocyanate.", "", practiceOnly}}
	}
	return nil
}

func metalCautions(m job.Material, under job.Under) []Caution {
	switch {
	case m == job.Stainless:
		return []Caution{{"stainless", AtPlate, "Hexavalent chromium from stainless steel causes cancer: the fume is drawn off at the cut, and whoever stays near wears a respirator for it.", chromeFigure, chromeSource}}
	case m == job.Aluminium && under == job.WaterTable:
		return []Caution{{"aluminium-water", AtPlate, "No hydrogen can gather: the water is aerated or stirred, dross and fines are out of the table, nothing is closed below the sheet, and the metal is no aluminium-lithium alloy.",
			gasFigure, gasSource}}
	}
	return nil
}

func shadeCaution(amps float64) Caution {
	c := Caution{ID: "shade", Where: OnPerson, Source: shadeSource}
	if s, ok := ShadeFor(amps); ok {
		c.Text = fmt.Sprintf("Everybody in sight of the arc looks through a filter for %s A, or cannot see it.", unit.Number(amps, 1))
		c.Figure = s.String()
		return c
	}
	c.Text = "The published tables have no filter shade for this current: a qualified person has named one."
	return c
}
