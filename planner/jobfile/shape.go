package jobfile

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/keep"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
)

// shapeJob names every key of a job file.
func shapeJob(f *Form, j *job.Job) {
	f.Units(&j.Units)
	f.Text("name", &j.Name)
	f.Table("stock", func() { shapeStock(f, &j.Stock) })
	Tables(f, "drawings", &j.Drawings, func(d *job.Drawing) { shapeDrawing(f, d) })
	Tables(f, "edits", &j.Edits, func(e *job.Edit) { shapeEdit(f, e) })
	f.Table("layout", func() { shapeLayout(f, &j.Layout, len(j.Drawings)) })
	f.Table("alignment", func() { shapeAlignment(f, &j.Alignment) })
	f.Table("process", func() { ShapeProcess(f, &j.Process) })
	f.Table("mark", func() { ShapeMarking(f, &j.Mark) })
	Tables(f, "texts", &j.Texts, func(t *job.Text) { shapeText(f, t, len(j.Drawings)) })
	f.Table("rules", func() { shapeRules(f, &j.Rules) })
	f.Table("machine", func() { ShapeMachine(f, &j.Machine) })
	Tables(f, "overrides", &j.Overrides, func(o *job.Override) { shapeOverride(f, o) })
	Tables(f, "confirmed", &j.Checks, func(c *job.Confirmation) { shapeConfirmation(f, c) })
	Tables(f, "files", &j.Files, func(s *job.FileSum) { shapeFile(f, s) })
	Tables(f, "kept", &j.Kept, func(k *job.Kept) { shapeKept(f, k) })
}

func shapeStock(f *Form, s *job.Stock) {
	Word(f, "material", &s.Material, job.Materials())
	Word(f, "surface", &s.Surface, job.Surfaces())
	f.Number("thickness", &s.Thickness, job.StockThickness)
	Word(f, "hold", &s.Hold, job.Holds())
	f.Number("width", &s.Width, job.StockWidth)
	f.Number("height", &s.Height, job.StockHeight)
	Word(f, "zero", &s.Zero, job.Corners())
	Word(f, "under", &s.Under, job.Unders())
	f.Rings("outline", &s.Outline)
	f.Text("from", &s.From)
	f.Opt("grain", &s.Grain, job.StockGrain)
	Count(f, "sheets", &s.Sheets, job.StockSheets)
	Rows(f, "keep_outs", &s.KeepOuts, func(k *job.KeepOut) {
		Word(f, "kind", &k.Kind, job.KeepOutKinds())
		f.Text("name", &k.Name)
		f.Given("x", &k.X, job.KeepOutAt)
		f.Given("y", &k.Y, job.KeepOutAt)
		f.Number("width", &k.Width, job.KeepOutSize)
		f.Number("height", &k.Height, job.KeepOutSize)
		f.Number("diameter", &k.Diameter, job.KeepOutSize)
		f.Number("angle", &k.Angle, job.KeepOutAngle)
		Count(f, "plate", &k.Plate, job.PlateNumber)
	})
	f.Table("fixture", func() {
		Word(f, "datum", &s.Fixture.Datum, job.Corners())
		Count(f, "count", &s.Fixture.Count, job.FixtureCount)
		Count(f, "done", &s.Fixture.Done, job.FixtureDone)
		f.Opt("allowance", &s.Fixture.Allowance, job.FixtureAllowance)
		f.Points("pockets", &s.Fixture.Pockets, job.FixturePocket)
	})
	f.Typed("shape", &s.Shape)
}

func shapeDrawing(f *Form, d *job.Drawing) {
	switch typed := d.Shape != nil || f.in != nil && f.in.at.key("shape") != nil; {
	case typed:
		f.String("file", &d.File, nil)
	default:
		f.Must("file", &d.File, nil)
	}
	f.String("sha256", &d.SHA256, hexDigits)
	f.Text("name", &d.Name)
	shapeUnits(f, "units", &d.Units)
	f.Number("scale", &d.Scale, job.DrawingScale)
	Count(f, "page", &d.Page, job.DrawingPage)
	Count(f, "part", &d.Part, job.DrawingPart)
	f.Number("gap", &d.Gap, job.DrawingGap)
	Count(f, "quantity", &d.Quantity, job.DrawingQuantity)
	Rows(f, "layers", &d.Layers, func(l *job.Layer) {
		name := l.Name.String()
		f.Must("name", &name, nil)
		l.Name = plain.Of(name)
		Word(f, "use", &l.Use, job.LayerUses())
	})
	Word(f, "turns", &d.Turns, job.Turnings())
	f.Opt("grain", &d.Grain, job.DrawingGrain)
	f.Flag("flip", &d.Flip)
	f.Typed("shape", &d.Shape)
}

// shapeUnits is for units other than those of the file itself.
func shapeUnits(f *Form, key string, v *unit.System) {
	word := ""
	if *v != unit.Unknown {
		word = v.String()
	}
	Word(f, key, &word, []string{unit.MM.String(), unit.Inch.String()})
	switch word {
	case unit.MM.String():
		*v = unit.MM
	case unit.Inch.String():
		*v = unit.Inch
	}
}

func shapeEdit(f *Form, e *job.Edit) {
	do := string(e.Do)
	f.Must("do", &do, func(s string) error {
		if !slices.Contains(job.EditKinds(), job.EditKind(s)) {
			return fmt.Errorf("must be one of: %s", joined(job.EditKinds()))
		}
		return nil
	})
	e.Do = job.EditKind(do)
	f.Must("on", &e.On, nil)
	f.Number("angle", &e.Angle, job.EditAngle)
	f.Number("factor", &e.Factor, job.EditFactor)
	f.Number("drawn_x", &e.DrawnX, job.EditSize)
	f.Number("measured_x", &e.MeasuredX, job.EditSize)
	f.Number("drawn_y", &e.DrawnY, job.EditSize)
	f.Number("measured_y", &e.MeasuredY, job.EditSize)
	f.Number("diameter", &e.Diameter, job.EditBore)
	f.Number("length", &e.Length, job.EditOverall)
	f.Number("width", &e.Width, job.EditAcross)
	f.Number("x", &e.X, job.EditAt)
	f.Number("y", &e.Y, job.EditAt)
	f.Flag("sure", &e.Sure)
	f.Text("note", &e.Note)
}

func shapeLayout(f *Form, l *job.Layout, drawings int) {
	f.Number("margin", &l.Margin, job.LayoutMargin)
	f.Number("gap", &l.Gap, job.LayoutGap)
	Rows(f, "places", &l.Places, func(p *job.Place) {
		n := float64(p.Drawing + 1) // in the file drawings count from 1
		f.Given("drawing", &n, job.PlaceDrawing)
		if p.Drawing = max(int(n)-1, 0); p.Drawing >= drawings {
			f.fault("drawing", "job-range", "", "there are %d drawings", drawings)
		}
		f.Given("x", &p.X, job.PlaceAt)
		f.Given("y", &p.Y, job.PlaceAt)
		f.Number("angle", &p.Angle, job.PlaceAngle)
		f.Flag("mirror", &p.Mirror)
		Count(f, "plate", &p.Plate, job.PlateNumber)
		f.Flag("lock", &p.Lock)
	})
	Count(f, "plate", &l.Plate, job.PlateNumber)
	Word(f, "method", &l.Method, job.Methods())
	Count(f, "seed", &l.Seed, job.LayoutSeed)
	Count(f, "rounds", &l.Rounds, job.LayoutRounds)
	f.Flag("share", &l.Share)
	f.Number("share_from", &l.ShareFrom, job.LayoutShare)
	Word(f, "trim", &l.Trim, job.Trimmings())
	f.Opt("trim_x", &l.TrimX, job.LayoutTrimX)
	f.Opt("trim_y", &l.TrimY, job.LayoutTrimY)
	Word(f, "trim_start", &l.TrimStart, job.TrimStarts())
}

// ShapeMarking names the keys of the process for marks.
func ShapeMarking(f *Form, m *job.Marking) {
	f.Text("preset", &m.Preset)
	f.Number("feed", &m.Feed, job.MarkFeed)
	f.Number("amps", &m.Amps, job.MarkAmps)
	f.Number("height", &m.Height, job.MarkHeight)
	f.Number("delay", &m.Delay, job.MarkDelay)
	f.Number("width", &m.Width, job.MarkWidth)
	Word(f, "state", &m.State, job.States())
	f.Text("source", &m.Source)
}

func shapeText(f *Form, t *job.Text, drawings int) {
	say := t.Say.String()
	f.Must("say", &say, nil)
	t.Say = plain.Of(say)
	Count(f, "drawing", &t.Drawing, job.TextDrawing)
	if t.Drawing > drawings {
		f.fault("drawing", "job-range", "", "there are %d drawings", drawings)
	}
	f.Given("x", &t.X, job.TextAt)
	f.Given("y", &t.Y, job.TextAt)
	f.Number("height", &t.Height, job.TextHeight)
	f.Number("angle", &t.Angle, job.TextAngle)
}

func shapeAlignment(f *Form, a *job.Alignment) {
	Word(f, "by", &a.By, job.AlignBys())
	Word(f, "edge", &a.Edge, job.Edges())
	f.Points("points", &a.Points, job.AlignPoint)
	f.Points("next", &a.Next, job.AlignPoint)
	Rows(f, "holes", &a.Holes, func(h *job.Located) {
		f.Must("feature", &h.Feature, nil)
		f.Given("x", &h.At.X, job.AlignPoint)
		f.Given("y", &h.At.Y, job.AlignPoint)
	})
	f.Number("most", &a.Most, job.AlignTurn)
	f.Flag("sure", &a.Sure)
}

// ShapeProcess names the keys of a process, for the job file and for presets.
func ShapeProcess(f *Form, p *job.Process) {
	f.Text("preset", &p.Preset)
	f.Number("amps", &p.Amps, job.ProcessAmps)
	f.Number("feed", &p.Feed, job.ProcessFeed)
	f.Number("kerf", &p.Kerf, job.ProcessKerf)
	f.Number("pierce_height", &p.PierceHeight, job.ProcessPierceHeight)
	f.Number("cut_height", &p.CutHeight, job.ProcessCutHeight)
	f.Opt("pierce_delay", &p.PierceDelay, job.ProcessPierceDelay)
	f.Number("volts", &p.Volts, job.ProcessVolts)
	f.Text("gas", &p.Gas)
	f.Opt("pressure", &p.Pressure, job.ProcessPressure)
	f.Opt("gas_flow", &p.GasFlow, job.ProcessGasFlow)
	Word(f, "state", &p.State, job.States())
	f.Text("source", &p.Source)
	Rows(f, "taper", &p.Taper, func(t *job.TaperPoint) {
		f.Given("ratio", &t.Ratio, job.TaperRatio)
		f.Given("add", &t.Add, job.TaperAdd)
	})
}

func shapeRules(f *Form, r *job.Rules) {
	f.Number("drill_under", &r.DrillUnder, job.RulesDrillUnder)
	f.Number("slow_under", &r.SlowUnder, job.RulesSlowUnder)
	f.Number("slow_diameter", &r.SlowDiameter, job.RulesSlowDiameter)
	f.Number("thick_from", &r.ThickFrom, job.RulesThickFrom)
	f.Number("slow_feed", &r.SlowFeed, job.RulesSlowFeed)
	Word(f, "drill", &r.Drill, job.DrillActions())
	f.Number("overburn", &r.Overburn, job.RulesOverburn)
	f.Number("lead_out", &r.LeadOut, job.RulesLeadOut)
	f.Number("max_lead", &r.MaxLead, job.RulesMaxLead)
	Word(f, "control", &r.Control, job.HeightControls())
	f.Number("hold_below", &r.HoldBelow, job.RulesHoldBelow)
	f.Number("probe_reuse", &r.ProbeReuse, job.RulesProbeReuse)
	f.Number("tolerance", &r.Tolerance, job.RulesTolerance)
	f.Number("proof_within", &r.ProofWithin, job.RulesProofWithin)
	Word(f, "outlines", &r.Clockwise, job.Turns())
	Count(f, "search_kicks", &r.SearchKicks, job.RulesSearchKicks)
	Count(f, "order_seed", &r.OrderSeed, job.RulesOrderSeed)
	Word(f, "grouping", &r.Grouping, job.Groupings())
	f.Number("small_first", &r.SmallFirst, job.RulesSmallFirst)
	Count(f, "heat_cuts", &r.HeatCuts, job.RulesHeatCuts)
	f.Number("heat_distance", &r.HeatDistance, job.RulesHeatDistance)
	Word(f, "begin", &r.Begin, job.Corners())
	Word(f, "end", &r.End, job.Corners())
	f.Number("pop_pulse", &r.PopPulse, job.RulesPopPulse)
	f.Number("entry_feed", &r.EntryFeed, job.RulesEntryFeed)
	f.Number("corner_loop", &r.CornerLoop, job.RulesCornerLoop)
	f.Number("corner_feed", &r.CornerFeed, job.RulesCornerFeed)
	f.Number("corner_turn", &r.CornerTurn, job.RulesCornerTurn)
	f.Number("corner_reach", &r.CornerReach, job.RulesCornerReach)
	f.Number("tab_under", &r.TabUnder, job.RulesTabUnder)
	Count(f, "tab_count", &r.TabCount, job.RulesTabCount)
	f.Number("tab_width", &r.TabWidth, job.RulesTabWidth)
	f.Number("split_slugs", &r.SplitSlugs, job.RulesSplitSlugs)
	Count(f, "cut_range", &r.CutRange, job.RulesCutRange)
	f.Number("hold_least", &r.HoldLeast, job.RulesHoldLeast)
	Tables(f, "holes", &r.Holes, func(h *job.HoleRule) { ShapeHoleRule(f, h) })
}

// ShapeHoleRule names the keys of a hole band, for the job file and for the
// shop's own bands.
func ShapeHoleRule(f *Form, h *job.HoleRule) {
	Word(f, "material", &h.Material, job.Materials())
	f.Number("from", &h.From, job.HoleFrom)
	f.Number("up_to", &h.UpTo, job.HoleUpTo)
	f.Number("under", &h.Under, job.HoleUnder)
	f.Flag("round", &h.Round)
	Word(f, "action", &h.Action, job.HoleActions())
	f.Number("feed", &h.Feed, job.HoleFeed)
	f.Opt("overburn", &h.Overburn, job.HoleOverburn)
	f.Flag("hold", &h.Hold)
	Word(f, "lead", &h.Lead, job.LeadForms())
	f.Flag("against", &h.Against)
	f.Text("note", &h.Note)
}

// ShapeMachine names the keys of a machine profile, for the job file and for
// the profiles' own files.
func ShapeMachine(f *Form, m *job.Machine) {
	f.Text("name", &m.Name)
	f.Text("notes", &m.Notes)
	f.Number("travel_x", &m.TravelX, job.MachineTravelX)
	f.Number("travel_y", &m.TravelY, job.MachineTravelY)
	f.Number("max_feed", &m.MaxFeed, job.MachineMaxFeed)
	f.Number("rapid_xy", &m.RapidXY, job.MachineRapidXY)
	f.Number("rapid_z", &m.RapidZ, job.MachineRapidZ)
	f.Number("accel_xy", &m.AccelXY, job.MachineAccelXY)
	f.Number("accel_z", &m.AccelZ, job.MachineAccelZ)
	f.Number("corner_deviation", &m.CornerDeviation, job.MachineCornerDeviation)
	f.Number("max_amps", &m.MaxAmps, job.MachineMaxAmps)
	f.Number("safe_z", &m.SafeZ, job.MachineSafeZ)
	f.Number("travel_z", &m.TravelZ, job.MachineTravelZ)
	f.Opt("top_z", &m.TopZ, job.MachineTopZ)
	f.Number("reach", &m.Reach, job.MachineReach)
	f.Number("probe_feed", &m.ProbeFeed, job.MachineProbeFeed)
	f.Number("probe_search", &m.ProbeSearch, job.MachineProbeSearch)
	f.Opt("sensor_offset", &m.SensorOffset, job.MachineSensorOffset)
	f.Table("program", func() { shapeProgram(f, &m.Program) })
}

func shapeProgram(f *Form, p *job.Program) {
	shapeUnits(f, "units", &p.Units)
	Count(f, "decimals", &p.Decimals, job.ProgramDecimals)
	Word(f, "arcs", &p.Arcs, job.ArcForms())
	f.Flag("line_numbers", &p.LineNumbers)
	Word(f, "line_end", &p.LineEnd, job.LineEnds())
	f.String("extension", &p.Extension, extension)
	Count(f, "max_lines", &p.MaxLines, job.ProgramMaxLines)
	Count(f, "max_bytes", &p.MaxBytes, job.ProgramMaxBytes)
	Count(f, "name_length", &p.NameLength, job.ProgramNameLength)
	f.Number("min_radius", &p.MinRadius, job.ProgramMinRadius)
	f.Number("max_radius", &p.MaxRadius, job.ProgramMaxRadius)
	f.Number("max_sweep", &p.MaxSweep, job.ProgramMaxSweep)
	f.Lines("header", &p.Header, templateLine)
	f.Lines("footer", &p.Footer, templateLine)
	f.Lines("touch_off", &p.TouchOff, templateLine)
	f.Lines("arc_on", &p.ArcOn, templateLine)
	f.Lines("arc_off", &p.ArcOff, templateLine)
	f.Lines("control_on", &p.ControlOn, templateLine)
	f.Lines("control_off", &p.ControlOff, templateLine)
	f.Lines("pause", &p.Pause, templateLine)
}

func shapeOverride(f *Form, o *job.Override) {
	f.Must("feature", &o.Feature, nil)
	Word(f, "kind", &o.Kind, job.Kinds())
	Word(f, "rule", &o.Rule, job.FeatureRules())
	f.Point("start", &o.Start, job.OverrideStart)
	f.Text("note", &o.Note)
	f.Points("critical", &o.Critical, job.OverrideCritical)
	f.Number("tolerance", &o.Tolerance, job.OverrideTolerance)
	f.Opt("tabs", &o.Tabs, job.OverrideTabs)
	f.Number("feed", &o.Feed, job.OverrideFeed)
	f.Opt("delay", &o.Delay, job.OverrideDelay)
}

func shapeConfirmation(f *Form, c *job.Confirmation) {
	f.Must("id", &c.ID, nil)
	f.Text("by", &c.By)
	f.String("at", &c.At, moment)
	f.String("rests_on", &c.RestsOn, hexDigits)
}

func shapeFile(f *Form, s *job.FileSum) {
	f.Must("name", &s.Name, BaseName)
	f.Must("sha256", &s.SHA256, wholeSum)
}

func shapeKept(f *Form, k *job.Kept) {
	f.Must("name", &k.Name, nil)
	f.Must("sha256", &k.SHA256, wholeSum)
	f.Block("text", &k.Text, keep.MaxText)
}

func wholeSum(s string) error {
	if len(s) != 64 {
		return fmt.Errorf("must be 64 hexadecimal digits")
	}
	return hexDigits(s)
}

func hexDigits(s string) error {
	if strings.Trim(s, "0123456789abcdef") != "" {
		return fmt.Errorf("must be hexadecimal digits, lower case")
	}
	return nil
}

// BaseName refuses a name that leads out of the job's own folder, or that is
// hidden there.
func BaseName(s string) error {
	if s != filepath.Base(s) || strings.ContainsAny(s, `/\:`) || strings.HasPrefix(s, ".") {
		return fmt.Errorf("must be the name of a file in the job's own folder")
	}
	return nil
}

func extension(s string) error {
	if len(s) > 8 || strings.Trim(strings.ToLower(s), "abcdefghijklmnopqrstuvwxyz0123456789") != "" {
		return fmt.Errorf("must be up to 8 letters or digits, without a dot")
	}
	return nil
}

func templateLine(s string) error {
	if len(s) > maxLine {
		return fmt.Errorf("must be at most %d characters long, has %d (NISTIR 6556 3.3)", maxLine, len(s))
	}
	return nil
}

func moment(s string) error {
	if _, err := time.Parse(time.RFC3339, s); err != nil {
		return fmt.Errorf("must be a time such as 2026-05-04T10:20:30+02:00 (RFC 3339)")
	}
	return nil
}
