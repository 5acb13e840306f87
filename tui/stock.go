package tui

import (
	"fmt"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
)

// stockView is the first stage: what is cut, out of what, on which machine.
type stockView struct{ page }

func (stockView) id() string          { return "stock" }
func (stockView) title(*Model) string { return "stock: shapes, metal, table" }
func (stockView) explain() string {
	return "Say what lies on the table. Drawings give the shapes; the stock gives the metal and where XY zero is; the machine profile gives what the table can do and how its controller is told. What is unknown stays unknown and keeps the save shut: a guess would be cut into the plate."
}

func (stockView) list(m *Model) list {
	j := &m.d.Job
	var rows []row
	head := func(s string) { rows = append(rows, row{head: true, label: s}) }
	add := func(r ...row) { rows = append(rows, r...) }

	add(m.recentRows()...)
	head("job")
	add(m.words(words{id: "name", label: "name", must: true,
		get: func(d *Draft) string { return d.Job.Name.String() },
		put: func(d *Draft, s string) { d.Job.Name = plain.Of(s) },
		why: "What the shop calls the job. It heads the program and the setup sheet."}))
	add(choose(m, choice[unit.System]{id: "units", label: "units",
		of:  []pick[unit.System]{{unit.MM, "mm", "millimetres"}, {unit.Inch, "inch", "decimal inches; fractions may be typed"}},
		get: func(j *job.Job) unit.System { return j.Units },
		put: func(j *job.Job, u unit.System) { j.Units = u },
		why: "Units of this screen and of the job file. A length may still be typed with its own: 6mm, 1/4in."}))

	head("drawings")
	for i := range j.Drawings {
		add(m.drawingRow(i))
	}
	add(row{id: "add", label: "add a drawing", verb: "look for files", why: "Opens a list of drawings (DXF, SVG, PDF) and saved jobs.",
		act: func(m *Model) tea.Cmd { return m.choose("") }})
	add(row{id: "typed", label: "type a part", verb: "choose a shape", why: "A plate, flange, bracket or strip by its sizes, without a drawing.",
		act: func(m *Model) tea.Cmd { m.typeShape(); return nil }})

	head("metal")
	add(choose(m, choice[job.Material]{id: "stock.material", label: "material",
		of: []pick[job.Material]{{job.MildSteel, "mild steel", ""}, {job.Stainless, "stainless", "its fume holds chromium"},
			{job.Aluminium, "aluminium", "over water it gives off hydrogen"}},
		get: func(j *job.Job) job.Material { return j.Stock.Material },
		put: func(j *job.Job, v job.Material) { j.Stock.Material = v },
		why: "Decides which presets fit and which cautions are asked for."}))
	add(choose(m, choice[job.Surface]{id: "surface", label: "covered by",
		of: []pick[job.Surface]{{job.Bare, "nothing, bare", ""}, {job.MillScale, "mill scale", ""},
			{job.Galvanised, "zinc", "its fume makes ill"}, {job.Painted, "paint", "burns, its fume may be toxic"}},
		get: func(j *job.Job) job.Surface { return j.Stock.Surface },
		put: func(j *job.Job, v job.Surface) { j.Stock.Surface = v },
		why: "What is on the metal. The checks before the cut depend on it."}))
	add(m.num(m.number(job.StockThickness, "thickness", func(j *job.Job) *float64 { return &j.Stock.Thickness },
		"Measure it at the edge with a calliper; the same gauge number is another thickness for another metal.")))
	add(choose(m, choice[job.Hold]{id: "stock.hold", label: "held as",
		of: []pick[job.Hold]{{job.Plate, "plate", "parts are cut out of a sheet; outlines are cut, last"},
			{job.Blank, "blanks in a fixture", "each piece has its outside already; only what lies inside is cut"}},
		get: func(j *job.Job) job.Hold { return j.Stock.Hold },
		put: func(j *job.Job, v job.Hold) { j.Stock.Hold = v },
		why: "Whether outlines are cut or only tell where the blank lies."}))
	add(m.num(m.number(job.StockWidth, "size along X", func(j *job.Job) *float64 { return &j.Stock.Width },
		"Of the plate as it lies on the table, X to the right.")))
	add(m.num(m.number(job.StockHeight, "size along Y", func(j *job.Job) *float64 { return &j.Stock.Height },
		"Of the plate as it lies on the table, Y away from you.")))
	lowerLeft := job.LowerLeft
	add(choose(m, choice[job.Corner]{id: "zero", label: "XY zero at", of: corners, rule: &lowerLeft,
		get: func(j *job.Job) job.Corner { return j.Stock.Zero },
		put: func(j *job.Job, v job.Corner) { j.Stock.Zero = v },
		why: "The corner of the stock over which the torch stands when the controller is set to X0 Y0."}))
	if j.Stock.Hold == job.Blank {
		f := j.Stock.Fixture
		add(row{id: "fixture", label: "fixture", value: count(len(f.Pockets), "pocket"), verb: "open",
			why: "Where the blanks sit, how many there are, and how much they may differ from the drawing.",
			act: func(m *Model) tea.Cmd { m.lay(fixturePage{}); return nil }})
	}
	if j.Stock.Hold != job.Blank {
		add(m.layoutRow())
	}
	add(m.alignRow())
	add(choose(m, choice[job.Under]{id: "under", label: "under the plate",
		of: []pick[job.Under]{{job.WaterTable, "water", "aluminium over water gives off hydrogen"},
			{job.DownDraft, "downdraft", ""}, {job.OpenBed, "open bed", "sparks fall to the floor"}},
		get: func(j *job.Job) job.Under { return j.Stock.Under },
		put: func(j *job.Job, v job.Under) { j.Stock.Under = v },
		why: "What catches sparks and fume. The checks before the cut depend on it."}))

	head("machine")
	add(m.machineRow())
	if !j.Machine.Name.Empty() || j.Machine.MaxFeed > 0 {
		n := m.optional(job.MachineSensorOffset, "sensor offset", func(j *job.Job) *job.Opt { return &j.Machine.SensorOffset },
			"How far the torch still travels down between touching the plate and the sensor's trip. Measure it with a feeler gauge; 0 only if the tip itself is the sensor.")
		for _, p := range m.eng.Machines() {
			if p.Name == j.Machine.Name && p.SensorOffset.Known && p.SensorOffset == j.Machine.SensorOffset {
				n.note = "from the profile"
			}
		}
		add(m.num(n))
	}
	return rowsList(rows)
}

var corners = []pick[job.Corner]{
	{job.LowerLeft, "lower left", ""}, {job.LowerRight, "lower right", ""},
	{job.UpperLeft, "upper left", ""}, {job.UpperRight, "upper right", ""},
}

// drawingRow sums a drawing up on one line.
func (m *Model) drawingRow(i int) row {
	d := m.d.Job.Drawings[i]
	name, why := m.drawingName(i), "Enter opens its units, quantity and layers, or takes it out of the job. The file: "+plain.Clean(d.File)
	if d.Shape != nil {
		name, why = shapeName(d.Shape.Kind), "Enter opens its sizes and quantity, or takes it out of the job."
	}
	r := row{id: drawingID(i), label: name, verb: "open", aim: &aim{feature: -1, drawing: i},
		why: why}
	r.act = func(m *Model) tea.Cmd { m.lay(drawingPage{n: i}); return nil }
	l := m.loops(i)
	switch {
	case m.res.busy == "reading" && l == nil:
		r.value = "being read"
	case l == nil:
		r.value, r.state, r.note = "cannot be read", stWarn, "t tells why"
		if d.Shape != nil {
			r.value = "not whole yet"
		}
	default:
		r.value = count(len(l.Closed), "loop")
		if d.Part > 0 {
			r.value = "one of its parts"
		}
		if n := len(l.Open); n > 0 {
			r.note, r.state = fmt.Sprintf("%d left open", n), stWarn
		}
		if q := max(1, d.Quantity); q > 1 {
			r.value = fmt.Sprintf("x%d, ", q) + r.value
		}
		if m.fileChanged(d) {
			r.note, r.state = "changed", stWarn
			r.why = "Another file lies there than the job was saved with: what is cut is the copy that the job keeps. Enter opens the drawing, where the file can be taken as it is now."
		}
	}
	return r
}

func drawingID(i int) string { return fmt.Sprint("drawing", i) }

// loops is what was read of drawing i, nil if there is nothing.
func (m *Model) loops(i int) *drawing.Loops {
	if i < len(m.res.loops) {
		return m.res.loops[i]
	}
	return nil
}

// machineRow offers the machine profiles. A job carries its whole profile, so
// one that is no longer offered stays in the job.
func (m *Model) machineRow() row {
	j := &m.d.Job
	all := m.eng.Machines()
	u := j.Units
	r := row{id: "machine", label: "profile", verb: "all choices",
		why: "What the table can do and how its controller is told. The job carries a copy of the whole profile."}
	at := -1
	for i, p := range all {
		if p.Name == j.Machine.Name {
			at = i
		}
	}
	set := func(p job.Machine) func(*Draft) {
		return func(d *Draft) {
			keep := d.Job.Machine.SensorOffset
			same := d.Job.Machine.Name == p.Name
			d.Job.Machine = cloneMachine(p)
			if same && !p.SensorOffset.Known {
				d.Job.Machine.SensorOffset = keep
			}
		}
	}
	switch {
	case j.Machine.Name.Empty() && j.Machine.MaxFeed == 0:
		r.value, r.state = "unknown", stOpen
	default:
		r.value = j.Machine.Name.String()
		r.bounds = fmt.Sprintf("Reaches %s by %s, feed up to %s.", u.Length(j.Machine.TravelX), u.Length(j.Machine.TravelY), u.Feed(j.Machine.MaxFeed))
		if n := j.Machine.Notes.String(); n != "" {
			r.bounds += " " + n
		}
	}
	r.turn = func(step int) func(*Draft) {
		i := at + step
		if at < 0 && step < 0 {
			i = len(all) - 1
		}
		if i < 0 || i >= len(all) {
			return nil
		}
		return set(all[i])
	}
	r.act = func(m *Model) tea.Cmd {
		p := listPage{name: "machine", head: "machine profile", why: r.why}
		for i, o := range all {
			why := fmt.Sprintf("Reaches %s by %s, feed up to %s. %s", u.Length(o.TravelX), u.Length(o.TravelY), u.Feed(o.MaxFeed), o.Notes)
			p.of = append(p.of, option{name: o.Name.String(), why: why, change: set(o), now: i == at})
		}
		m.layList(p)
		return nil
	}
	return r
}
