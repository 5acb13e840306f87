package jobfile_test

import (
	"strings"
	"time"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/keep"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
	"pgregory.net/rapid"
)

// draw makes random jobs that a job file can hold: every field set, or left
// as nobody has said.
type draw struct{ *rapid.T }

func (d draw) some() bool { return rapid.Bool().Draw(d.T, "some") }

func (d draw) number(f job.Field) float64 {
	if !d.some() {
		return 0
	}
	r := f.Range()
	if r.Dim == job.Count {
		return float64(rapid.Int64Range(int64(r.Min), int64(r.Max)).Draw(d.T, string(f)))
	}
	// Round figures as people type them, and figures that a computation left.
	if d.some() {
		v := rapid.Float64Range(r.Min, r.Max).Draw(d.T, string(f))
		if rounded := float64(int64(v*1000)) / 1000; rounded >= r.Min && rounded <= r.Max {
			return rounded
		}
	}
	return rapid.Float64Range(r.Min, r.Max).Draw(d.T, string(f))
}

func (d draw) count(f job.Field) int { return int(d.number(f)) }

func (d draw) opt(f job.Field) job.Opt {
	if !d.some() {
		return job.Opt{}
	}
	return job.Of(d.number(f))
}

func (d draw) text() plain.Text { return plain.Of(d.clean()) }

func (d draw) clean() string {
	if !d.some() {
		return ""
	}
	s := rapid.OneOf(rapid.StringN(0, 40, -1),
		rapid.SampledFrom([]string{`a "b" \c`, `'''`, `"""`, "# no comment", "[x]", "Größe ½", "a = 1", "{}", "\\u0041"})).Draw(d.T, "text")
	return plain.Clean(s)
}

func (d draw) must() string { return "x" + d.clean() }

func word[T ~string](d draw, words []T) T {
	if !d.some() {
		return ""
	}
	return rapid.SampledFrom(words).Draw(d.T, "word")
}

func list[T any](d draw, most int, item func() T) []T {
	n := rapid.IntRange(0, most).Draw(d.T, "n")
	var all []T
	for range n {
		all = append(all, item())
	}
	return all
}

func (d draw) hex(n int) string {
	return strings.Repeat(rapid.StringOfN(rapid.RuneFrom([]rune("0123456789abcdef")), 8, 8, -1).Draw(d.T, "hex"), n/8)
}

func (d draw) units() unit.System {
	return rapid.SampledFrom([]unit.System{unit.MM, unit.Inch}).Draw(d.T, "units")
}

func (d draw) point(f job.Field) geom.Point { return geom.Pt(d.number(f), d.number(f)) }

func (d draw) lines() []string { return list(d, 3, d.clean) }

func (d draw) job() job.Job {
	j := job.Job{Name: d.text(), Units: d.units(), Stock: d.stock(), Process: d.process(), Rules: d.rules(), Machine: d.machine()}
	j.Drawings = list(d, 3, d.drawing)
	j.Layout = job.Layout{Margin: d.number(job.LayoutMargin), Gap: d.number(job.LayoutGap)}
	j.Mark = job.Marking{Preset: d.text(), Feed: d.number(job.MarkFeed), Amps: d.number(job.MarkAmps), Height: d.number(job.MarkHeight),
		Delay: d.number(job.MarkDelay), Width: d.number(job.MarkWidth), State: word(d, job.States()), Source: d.text()}
	j.Texts = list(d, 2, func() job.Text {
		return job.Text{Say: plain.Of(d.must()), Drawing: rapid.IntRange(0, len(j.Drawings)).Draw(d.T, "drawing"), X: d.number(job.TextAt), Y: d.number(job.TextAt),
			Height: d.number(job.TextHeight), Angle: d.number(job.TextAngle)}
	})
	j.Alignment = job.Alignment{By: word(d, job.AlignBys()), Edge: word(d, job.Edges()), Most: d.number(job.AlignTurn), Sure: d.some(),
		Points: list(d, 3, func() geom.Point { return d.point(job.AlignPoint) }),
		Next:   list(d, 2, func() geom.Point { return d.point(job.AlignPoint) }),
		Holes: list(d, 2, func() job.Located {
			return job.Located{Feature: d.must(), At: d.point(job.AlignPoint)}
		})}
	if len(j.Drawings) > 0 {
		j.Layout.Places = list(d, 4, func() job.Place {
			return job.Place{Drawing: rapid.IntRange(0, len(j.Drawings)-1).Draw(d.T, "drawing"), X: d.number(job.PlaceAt),
				Y: d.number(job.PlaceAt), Angle: d.number(job.PlaceAngle), Mirror: d.some(), Plate: d.count(job.PlateNumber), Lock: d.some()}
		})
	}
	j.Edits = list(d, 3, func() job.Edit {
		return job.Edit{Do: rapid.SampledFrom(job.EditKinds()).Draw(d.T, "do"), On: d.must(), Angle: d.number(job.EditAngle), Factor: d.number(job.EditFactor),
			DrawnX: d.number(job.EditSize), MeasuredX: d.number(job.EditSize), DrawnY: d.number(job.EditSize), MeasuredY: d.number(job.EditSize),
			Diameter: d.number(job.EditBore), Length: d.number(job.EditOverall), Width: d.number(job.EditAcross),
			X: d.number(job.EditAt), Y: d.number(job.EditAt), Sure: d.some(), Note: d.text()}
	})
	j.Layout.Trim, j.Layout.TrimStart = word(d, job.Trimmings()), word(d, job.TrimStarts())
	j.Layout.TrimX, j.Layout.TrimY = d.opt(job.LayoutTrimX), d.opt(job.LayoutTrimY)
	j.Layout.Share, j.Layout.ShareFrom = d.some(), d.number(job.LayoutShare)
	j.Layout.Method, j.Layout.Seed, j.Layout.Rounds = word(d, job.Methods()), int64(d.number(job.LayoutSeed)), d.count(job.LayoutRounds)
	j.Layout.Plate = d.count(job.PlateNumber)
	j.Overrides = list(d, 3, func() job.Override {
		o := job.Override{Feature: d.must(), Kind: word(d, job.Kinds()), Rule: word(d, job.FeatureRules()), Note: d.text(),
			Feed: d.number(job.OverrideFeed), Delay: d.opt(job.OverrideDelay)}
		if d.some() {
			p := d.point(job.OverrideStart)
			o.Start = &p
		}
		o.Critical = list(d, 2, func() geom.Point { return d.point(job.OverrideCritical) })
		o.Tolerance, o.Tabs = d.number(job.OverrideTolerance), d.opt(job.OverrideTabs)
		return o
	})
	j.Checks = list(d, 3, func() job.Confirmation {
		c := job.Confirmation{ID: d.must(), By: d.text(), RestsOn: d.hex(64)}
		if d.some() {
			c.At = time.Unix(rapid.Int64Range(0, 4e9).Draw(d.T, "at"), 0).UTC().Format(time.RFC3339)
		}
		return c
	})
	j.Files = list(d, 3, func() job.FileSum {
		return job.FileSum{Name: rapid.StringMatching(`[a-zé "_]{1,9}\.nc`).Draw(d.T, "file"), SHA256: d.hex(64)}
	})
	j.Kept = list(d, 2, func() job.Kept {
		k, err := keep.Pack(d.must(), rapid.SliceOfN(rapid.Byte(), 0, 300).Draw(d.T, "drawing"))
		if err != nil {
			panic(err)
		}
		return k
	})
	return j
}

func (d draw) stock() job.Stock {
	s := job.Stock{Material: word(d, job.Materials()), Surface: word(d, job.Surfaces()), Thickness: d.number(job.StockThickness),
		Hold: word(d, job.Holds()), Width: d.number(job.StockWidth), Height: d.number(job.StockHeight), Zero: word(d, job.Corners()),
		Under: word(d, job.Unders()), Fixture: job.Fixture{Datum: word(d, job.Corners()), Count: d.count(job.FixtureCount), Done: d.count(job.FixtureDone),
			Allowance: d.opt(job.FixtureAllowance),
			Pockets:   list(d, 3, func() geom.Point { return d.point(job.FixturePocket) })}}
	s.From, s.Grain, s.Sheets = d.text(), d.opt(job.StockGrain), d.count(job.StockSheets)
	s.Outline = list(d, 2, func() []job.OutlinePoint {
		return append(list(d, 3, func() job.OutlinePoint {
			return job.OutlinePoint{X: d.number(job.OutlineAt), Y: d.number(job.OutlineAt), Bulge: d.number(job.OutlineBulge)}
		}), job.OutlinePoint{X: 1}, job.OutlinePoint{Y: 2})
	})
	s.KeepOuts = list(d, 2, func() job.KeepOut {
		return job.KeepOut{Kind: word(d, job.KeepOutKinds()), Name: d.text(), X: d.number(job.KeepOutAt), Y: d.number(job.KeepOutAt), Width: d.number(job.KeepOutSize),
			Height: d.number(job.KeepOutSize), Diameter: d.number(job.KeepOutSize), Angle: d.number(job.KeepOutAngle), Plate: d.count(job.PlateNumber)}
	})
	if d.some() {
		s.Shape = d.typed()
	}
	return s
}

func (d draw) drawing() job.Drawing {
	r := job.Drawing{File: d.must(), Name: d.text(), Scale: d.number(job.DrawingScale), Page: d.count(job.DrawingPage), Part: d.count(job.DrawingPart),
		Gap: d.number(job.DrawingGap), Quantity: d.count(job.DrawingQuantity), Layers: list(d, 3, func() job.Layer {
			return job.Layer{Name: plain.Of(d.must()), Use: word(d, job.LayerUses())}
		})}
	r.Turns, r.Grain, r.Flip = word(d, job.Turnings()), d.opt(job.DrawingGrain), d.some()
	if d.some() {
		r.SHA256, r.Units = d.hex(64), d.units()
	}
	if d.some() {
		r.Shape = d.typed()
		if d.some() {
			r.File = ""
		}
	}
	return r
}

func (d draw) typed() *job.Shape {
	s := job.Shape{Kind: rapid.SampledFrom(job.ShapeKinds()).Draw(d.T, "kind")}
	for _, p := range rapid.Permutation(job.ShapeParams(s.Kind)).Draw(d.T, "order") {
		if d.some() {
			s.Values = append(s.Values, job.ShapeValue{Field: p.Field, Value: d.number(p.Field)})
		}
	}
	sure := func(f job.Field) float64 {
		if v := d.number(f); v != 0 {
			return v
		}
		return f.Range().Max
	}
	s.Holes = list(d, 2, func() job.ShapeHole {
		return job.ShapeHole{X: d.number(job.ShapeX), Y: d.number(job.ShapeY), Diameter: sure(job.ShapeD)}
	})
	s.Slots = list(d, 2, func() job.ShapeSlot {
		return job.ShapeSlot{X: d.number(job.ShapeX), Y: d.number(job.ShapeY), Length: sure(job.ShapeL), Width: sure(job.ShapeW), Angle: d.number(job.ShapeA)}
	})
	return &s
}

func (d draw) process() job.Process {
	return job.Process{Preset: d.text(), Amps: d.number(job.ProcessAmps), Feed: d.number(job.ProcessFeed), Kerf: d.number(job.ProcessKerf),
		PierceHeight: d.number(job.ProcessPierceHeight), CutHeight: d.number(job.ProcessCutHeight),
		PierceDelay: d.opt(job.ProcessPierceDelay), Volts: d.number(job.ProcessVolts), Gas: d.text(),
		Pressure: d.opt(job.ProcessPressure), GasFlow: d.opt(job.ProcessGasFlow), State: word(d, job.States()), Source: d.text(),
		Taper: list(d, 2, func() job.TaperPoint {
			return job.TaperPoint{Ratio: max(d.number(job.TaperRatio), job.TaperRatio.Range().Min), Add: d.number(job.TaperAdd)}
		})}
}

func (d draw) rules() job.Rules {
	return job.Rules{DrillUnder: d.number(job.RulesDrillUnder), SlowUnder: d.number(job.RulesSlowUnder),
		SlowDiameter: d.number(job.RulesSlowDiameter), ThickFrom: d.number(job.RulesThickFrom), SlowFeed: d.number(job.RulesSlowFeed),
		Drill: word(d, job.DrillActions()), Overburn: d.number(job.RulesOverburn), LeadOut: d.number(job.RulesLeadOut),
		MaxLead: d.number(job.RulesMaxLead), Control: word(d, job.HeightControls()), HoldBelow: d.number(job.RulesHoldBelow),
		ProbeReuse: d.number(job.RulesProbeReuse), Tolerance: d.number(job.RulesTolerance), ProofWithin: d.number(job.RulesProofWithin),
		Clockwise: word(d, job.Turns()), SearchKicks: d.count(job.RulesSearchKicks), OrderSeed: int64(d.number(job.RulesOrderSeed)),
		Grouping: word(d, job.Groupings()), SmallFirst: d.number(job.RulesSmallFirst), HeatCuts: d.count(job.RulesHeatCuts),
		HeatDistance: d.number(job.RulesHeatDistance), Begin: word(d, job.Corners()), End: word(d, job.Corners()),
		PopPulse: d.number(job.RulesPopPulse), EntryFeed: d.number(job.RulesEntryFeed), CornerLoop: d.number(job.RulesCornerLoop),
		CornerFeed: d.number(job.RulesCornerFeed), CornerTurn: d.number(job.RulesCornerTurn), CornerReach: d.number(job.RulesCornerReach),
		TabUnder: d.number(job.RulesTabUnder), TabCount: d.count(job.RulesTabCount), TabWidth: d.number(job.RulesTabWidth),
		SplitSlugs: d.number(job.RulesSplitSlugs), CutRange: d.count(job.RulesCutRange), HoldLeast: d.number(job.RulesHoldLeast),
		Holes: list(d, 2, func() job.HoleRule {
			return job.HoleRule{Material: word(d, job.Materials()), From: d.number(job.HoleFrom), UpTo: d.number(job.HoleUpTo), Under: d.number(job.HoleUnder), Round: d.some(),
				Action: word(d, job.HoleActions()), Feed: d.number(job.HoleFeed), Overburn: d.opt(job.HoleOverburn), Hold: d.some(),
				Lead: word(d, job.LeadForms()), Against: d.some(), Note: d.text()}
		})}
}

func (d draw) machine() job.Machine {
	return job.Machine{Name: d.text(), Notes: d.text(), TravelX: d.number(job.MachineTravelX), TravelY: d.number(job.MachineTravelY),
		MaxFeed: d.number(job.MachineMaxFeed), RapidXY: d.number(job.MachineRapidXY), RapidZ: d.number(job.MachineRapidZ),
		AccelXY: d.number(job.MachineAccelXY), AccelZ: d.number(job.MachineAccelZ), CornerDeviation: d.number(job.MachineCornerDeviation),
		MaxAmps: d.number(job.MachineMaxAmps), SafeZ: d.number(job.MachineSafeZ), TravelZ: d.number(job.MachineTravelZ),
		TopZ: d.opt(job.MachineTopZ), Reach: d.number(job.MachineReach), ProbeFeed: d.number(job.MachineProbeFeed),
		ProbeSearch: d.number(job.MachineProbeSearch), SensorOffset: d.opt(job.MachineSensorOffset), Program: d.program()}
}

func (d draw) program() job.Program {
	p := job.Program{Decimals: d.count(job.ProgramDecimals), Arcs: word(d, job.ArcForms()), LineNumbers: d.some(),
		LineEnd: word(d, job.LineEnds()), Extension: word(d, []string{"nc", "ngc", "tap"}),
		MaxLines: d.count(job.ProgramMaxLines), MaxBytes: d.count(job.ProgramMaxBytes), NameLength: d.count(job.ProgramNameLength),
		MinRadius: d.number(job.ProgramMinRadius), MaxRadius: d.number(job.ProgramMaxRadius), MaxSweep: d.number(job.ProgramMaxSweep), Header: d.lines(), Footer: d.lines(),
		TouchOff: d.lines(), ArcOn: d.lines(), ArcOff: d.lines(), ControlOn: d.lines(), ControlOff: d.lines(), Pause: d.lines()}
	if d.some() {
		p.Units = d.units()
	}
	return p
}
