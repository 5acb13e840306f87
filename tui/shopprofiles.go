package tui

import (
	"fmt"
	"slices"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"example.org/kerfwright/planner/gcode"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
	"example.org/kerfwright/presets"
)

// besider is a page that has something of its own to show where the plate is.
type besider interface {
	besideTitle(m *Model) string
	beside(m *Model, w, h int) []line
}

func (m *Model) besideTitle(v view, w int) string {
	if b, ok := v.(besider); ok {
		return b.besideTitle(m)
	}
	return m.plateTitle(w)
}

// besideLines draws what stands beside a view, in h lines of exactly w cells.
func (m *Model) besideLines(v view, w, h int) []string {
	b, ok := v.(besider)
	if !ok {
		return m.plateLines(w, h)
	}
	all := b.beside(m, w-1, h)
	out := make([]string, h)
	for i := range out {
		l := line{}
		if i < len(all) {
			l = all[i]
		}
		var s strings.Builder
		m.th.paint(&s, append(line{{" ", inkPlain}}, l...).fit(&m.th, w), w)
		out[i] = s.String()
	}
	return out
}

// profilesPage lists the machine profiles.
type profilesPage struct{ shopView }

func (profilesPage) id() string          { return "profiles" }
func (profilesPage) title(*Model) string { return "machine profiles" }
func (profilesPage) explain() string {
	return "A profile says what the table can do and how its controller wants to be told. Enter opens one. A new one begins as a copy of the plain one, with a short program through it beside what is typed."
}
func (profilesPage) list(m *Model) list {
	rows := []row{ownAct("new", "new profile", "from the plain one", "begin", "Goes through everything a profile needs, from the top down.", func(m *Model) tea.Cmd {
		base, _ := m.eng.Library().Machine(map[bool]string{false: presets.DefaultMachine, true: presets.DefaultInchMachine}[m.shopUnits() == unit.Inch])
		base.Name, base.Notes, base.SensorOffset = plain.Text{}, plain.Text{}, job.Opt{}
		m.shop.mWas, m.shop.mNow, m.shop.mNew = base, cloneMachine(base), true
		m.lay(profilePage{})
		m.spot().id = "name"
		return nil
	}), {head: true, label: "profiles"}}
	for i, x := range m.eng.Library().Machines() {
		offset := "sensor offset not known"
		if x.SensorOffset.Known {
			offset = "sensor offset " + m.shopUnits().Length(x.SensorOffset.Value)
		}
		r := row{id: fmt.Sprint("profile", i), verb: "open", why: sentence(x.Notes.String())}
		r.plain = line{{padRight(x.Name.String(), 20), inkPlain}, {padRight(fmt.Sprintf("%s by %s", m.shopUnits().Length(x.TravelX), m.shopUnits().Length(x.TravelY)), 26), inkPlain}, {offset, inkFaint}}
		r.act = func(m *Model) tea.Cmd {
			m.shop.mWas, m.shop.mNow, m.shop.mNew = x, cloneMachine(x), false
			m.lay(profilePage{})
			return nil
		}
		rows = append(rows, r)
	}
	return rowsList(rows)
}

// profilePage edits a profile, with a sample of its program beside it.
type profilePage struct{ shopView }

func (profilePage) id() string { return "profile" }
func (profilePage) title(m *Model) string {
	if n := m.shop.mNow.Name.String(); n != "" {
		return "profile " + n
	}
	return "new profile"
}
func (profilePage) explain() string {
	return "Measured figures of the machine first, then how its controller is written to. Templates are lines of the program; words in braces are filled in, and a line that is emptied goes. On the right stands a short program through the profile as it is, with what is being typed. Only a profile that passes every check can be kept: unknown fields, comments that do not close, a torch that is never put out, and orders that would move with the arc lit are refused. What the controller understands is in its manual; watch the first program as a dry run with the torch off."
}

func (profilePage) besideTitle(*Model) string { return "a short program through it" }

// beside shows the program with what is being typed already in it.
func (p profilePage) beside(m *Model, w, h int) []line {
	now := cloneMachine(m.shop.mNow)
	if m.ed != nil {
		for _, f := range m.profileFields() {
			if f.id == m.ed.row && f.put != nil {
				f.put(&now, m.ed.value(), m.shopUnits())
			}
		}
	}
	text := m.eng.Sample(now)
	if !m.sampled(now) {
		var why []line
		for _, s := range text {
			for _, l := range wrap(s, w-1) {
				why = append(why, inked(inkWarn, l))
			}
		}
		return why
	}
	was := m.eng.Sample(m.shop.mWas)
	// The first line that differs from the profile as it was is kept in sight.
	at := 0
	for at < len(text) && at < len(was) && text[at] == was[at] {
		at++
	}
	from := 0
	if at < len(text) && at >= h {
		from = min(at-h/2, len(text)-h)
	}
	var out []line
	for i := max(0, from); i < len(text); i++ {
		ink := inkPlain
		if !slices.Contains(was, text[i]) {
			ink = inkHead
		}
		out = append(out, inked(ink, text[i]))
	}
	return out
}

// sampled reports whether a profile gives a program.
func (m *Model) sampled(x job.Machine) bool { return len(gcode.Problems(x)) == 0 }

// profileField is one line of a profile's form.
type profileField struct {
	id, head string // head: a heading before it
	label    string
	why      string
	field    job.Field // "" is text
	get      func(job.Machine) (string, bool)
	put      func(m *job.Machine, s string, u unit.System) string // returns why not
	names    []string                                             // of a choice
}

func (m *Model) profileFields() []profileField {
	u := m.shopUnits()
	num := func(f job.Field, label, why string, at func(*job.Machine) *float64) profileField {
		fm := form{Dim: f.Range().Dim}
		return profileField{id: string(f), label: label, why: why, field: f,
			get: func(x job.Machine) (string, bool) { v := *at(&x); return fm.typed(v, u), v != 0 },
			put: func(x *job.Machine, s string, u unit.System) string {
				if strings.TrimSpace(s) == "" {
					*at(x) = 0
					return ""
				}
				v, err := fm.parse(s, u)
				if err == nil {
					err = f.Check(v, u)
				}
				if err != nil {
					return sentence(label + ": " + err.Error())
				}
				*at(x) = v
				return ""
			}}
	}
	opt := func(f job.Field, label, why string, at func(*job.Machine) *job.Opt) profileField {
		fm := form{Dim: f.Range().Dim}
		return profileField{id: string(f), label: label, why: why, field: f,
			get: func(x job.Machine) (string, bool) { o := *at(&x); return fm.typed(o.Value, u), o.Known },
			put: func(x *job.Machine, s string, u unit.System) string {
				if strings.TrimSpace(s) == "" {
					*at(x) = job.Opt{}
					return ""
				}
				v, err := fm.parse(s, u)
				if err == nil {
					err = f.Check(v, u)
				}
				if err != nil {
					return sentence(label + ": " + err.Error())
				}
				*at(x) = job.Of(v)
				return ""
			}}
	}
	whole := func(f job.Field, label, why string, at func(*job.Machine) *int) profileField {
		p := num(f, label, why, func(x *job.Machine) *float64 { v := float64(*at(x)); return &v })
		p.put = func(x *job.Machine, s string, u unit.System) string {
			var v float64
			q := num(f, label, why, func(*job.Machine) *float64 { return &v })
			if no := q.put(x, s, u); no != "" {
				return no
			}
			*at(x) = int(v)
			return ""
		}
		return p
	}
	words := func(id, label, why string, at func(*job.Machine) *plain.Text) profileField {
		return profileField{id: id, label: label, why: why,
			get: func(x job.Machine) (string, bool) { s := at(&x).String(); return s, s != "" },
			put: func(x *job.Machine, s string, _ unit.System) string {
				*at(x) = plain.Of(strings.TrimSpace(s))
				return ""
			}}
	}
	choice := func(id, label, why string, names []string, at func(*job.Machine) int, set func(*job.Machine, int)) profileField {
		return profileField{id: id, label: label, why: why, names: names,
			get: func(x job.Machine) (string, bool) { return fmt.Sprint(at(&x)), true },
			put: func(x *job.Machine, s string, _ unit.System) string {
				if i := slices.Index(names, s); i >= 0 {
					set(x, i)
				}
				return ""
			}}
	}
	out := []profileField{
		words("name", "name", "What the shop calls this machine.", func(x *job.Machine) *plain.Text { return &x.Name }),
		words("notes", "notes", "What whoever chooses it should know.", func(x *job.Machine) *plain.Text { return &x.Notes }),
		num(job.MachineTravelX, "travel along X", "Of the cutting area.", func(x *job.Machine) *float64 { return &x.TravelX }),
		num(job.MachineTravelY, "travel along Y", "Of the cutting area.", func(x *job.Machine) *float64 { return &x.TravelY }),
		num(job.MachineMaxFeed, "fastest feed", "In the plane.", func(x *job.Machine) *float64 { return &x.MaxFeed }),
		num(job.MachineRapidXY, "rapid in the plane", "With the torch out.", func(x *job.Machine) *float64 { return &x.RapidXY }),
		num(job.MachineRapidZ, "rapid up and down", "Of the torch.", func(x *job.Machine) *float64 { return &x.RapidZ }),
		num(job.MachineAccelXY, "acceleration in the plane", "It decides where the true feed falls, and so where height is held.", func(x *job.Machine) *float64 { return &x.AccelXY }),
		num(job.MachineAccelZ, "acceleration up, down", "Of the torch.", func(x *job.Machine) *float64 { return &x.AccelZ }),
		num(job.MachineCornerDeviation, "corners rounded by", "What the controller may cut a corner short; for the time only.", func(x *job.Machine) *float64 { return &x.CornerDeviation }),
		num(job.MachineMaxAmps, "supply gives", "Most current; empty is unknown.", func(x *job.Machine) *float64 { return &x.MaxAmps }),
		num(job.MachineSafeZ, "safe height", "Over the plate, for rapids over what may have tipped.", func(x *job.Machine) *float64 { return &x.SafeZ }),
		num(job.MachineTravelZ, "travel height", "Over the plate, for other rapids.", func(x *job.Machine) *float64 { return &x.TravelZ }),
		opt(job.MachineTopZ, "torch raised at", "Machine coordinate of the raised torch; empty where it is raised by hand.", func(x *job.Machine) *job.Opt { return &x.TopZ }),
		num(job.MachineReach, "reach down", "From the raised torch to the plate at most.", func(x *job.Machine) *float64 { return &x.Reach }),
		num(job.MachineProbeFeed, "touch-off feed", "Slow enough not to bend the torch.", func(x *job.Machine) *float64 { return &x.ProbeFeed }),
		num(job.MachineProbeSearch, "touch-off searches", "How far down it may go before it fails.", func(x *job.Machine) *float64 { return &x.ProbeSearch }),
		opt(job.MachineSensorOffset, "sensor offset", "Travel between the nozzle's contact and the sensor's trip; 0 where the nozzle's contact is the sensor. The line below measures it.", func(x *job.Machine) *job.Opt { return &x.SensorOffset }),
		choice("units", "program in", "G21 or G20.", []string{"mm", "inch"}, func(x *job.Machine) int { return b2i(x.Program.Units == unit.Inch) }, func(x *job.Machine, i int) { x.Program.Units = []unit.System{unit.MM, unit.Inch}[i] }),
		whole(job.ProgramDecimals, "decimals", "Of coordinates; empty is 4 in mm and 5 in inch.", func(x *job.Machine) *int { return &x.Program.Decimals }),
		choice("arcs", "arc centres", "From the arc's start is the standard's way.", []string{"from the start", "absolute", "no arcs, short lines"}, func(x *job.Machine) int { return max(0, slices.Index(job.ArcForms(), x.Program.Arcs)) }, func(x *job.Machine, i int) { x.Program.Arcs = job.ArcForms()[i] }),
		choice("numbers", "line numbers", "N in front of every line.", []string{"no", "yes"}, func(x *job.Machine) int { return b2i(x.Program.LineNumbers) }, func(x *job.Machine, i int) { x.Program.LineNumbers = i == 1 }),
		choice("ends", "lines end with", "LF, or CR LF for controllers that want both.", []string{"lf", "crlf"}, func(x *job.Machine) int { return b2i(x.Program.LineEnd == "crlf") }, func(x *job.Machine, i int) { x.Program.LineEnd = []string{"lf", "crlf"}[i] }),
		{id: "extension", label: "file ending", why: "Without the dot; empty is nc.", get: func(x job.Machine) (string, bool) { return x.Program.Extension, x.Program.Extension != "" },
			put: func(x *job.Machine, s string, _ unit.System) string {
				x.Program.Extension = strings.TrimSpace(s)
				return ""
			}},
		whole(job.ProgramMaxLines, "most lines", "Of one program; empty is no limit.", func(x *job.Machine) *int { return &x.Program.MaxLines }),
		whole(job.ProgramMaxBytes, "most bytes", "Of one program; empty is no limit.", func(x *job.Machine) *int { return &x.Program.MaxBytes }),
		num(job.ProgramMinRadius, "narrowest arc", "Radius; narrower ones are written as short lines. Empty is no limit.", func(x *job.Machine) *float64 { return &x.Program.MinRadius }),
		num(job.ProgramMaxRadius, "widest arc", "Radius; wider ones are written as lines. Empty is no limit.", func(x *job.Machine) *float64 { return &x.Program.MaxRadius }),
		num(job.ProgramMaxSweep, "longest arc", "Degrees of turn; longer ones are written in pieces. Empty is no limit.", func(x *job.Machine) *float64 { return &x.Program.MaxSweep }),
		whole(job.ProgramNameLength, "longest file name", "Signs before the dot; empty is no limit.", func(x *job.Machine) *int { return &x.Program.NameLength }),
	}
	out[2].head, out[11].head, out[18].head = "what the table can do", "heights and touch-off", "how the program is written"
	for _, t := range []struct {
		name, why string
		at        func(*job.Program) *[]string
	}{
		{"header", "Once, before anything moves.", func(p *job.Program) *[]string { return &p.Header }},
		{"touch-off", "Down to the plate, and Z set from it.", func(p *job.Program) *[]string { return &p.TouchOff }},
		{"arc-on", "Lights the arc, and waits for it where the controller has a word for that.", func(p *job.Program) *[]string { return &p.ArcOn }},
		{"arc-off", "Puts the torch out.", func(p *job.Program) *[]string { return &p.ArcOff }},
		{"control-on", "Automatic height control may act.", func(p *job.Program) *[]string { return &p.ControlOn }},
		{"control-off", "Height is held.", func(p *job.Program) *[]string { return &p.ControlOff }},
		{"pause", "Stops until the operator goes on.", func(p *job.Program) *[]string { return &p.Pause }},
		{"footer", "Once, after the torch is out and raised.", func(p *job.Program) *[]string { return &p.Footer }},
	} {
		lines := *t.at(&m.shop.mNow.Program)
		for i := 0; i <= len(lines); i++ {
			f := profileField{id: fmt.Sprintf("%s:%d", t.name, i), label: fmt.Sprintf("line %d", i+1), why: t.why}
			if i == 0 {
				f.head = t.name
			}
			if fs := gcode.Fields(t.name); len(fs) > 0 {
				f.why += " Fields: {" + strings.Join(fs, "} {") + "}."
			}
			f.get = func(x job.Machine) (string, bool) {
				l := *t.at(&x.Program)
				if i < len(l) {
					return l[i], true
				}
				return "", false
			}
			f.put = func(x *job.Machine, s string, _ unit.System) string {
				l := t.at(&x.Program)
				s = strings.TrimSpace(plain.Clean(s))
				switch {
				case s == "" && i < len(*l):
					*l = slices.Delete(*l, i, i+1)
				case s == "":
				case i < len(*l):
					(*l)[i] = s
				default:
					*l = append(*l, s)
				}
				return ""
			}
			out = append(out, f)
		}
	}
	return out
}

func (p profilePage) list(m *Model) list {
	u := m.shopUnits()
	var rows []row
	wrong := map[string]string{}
	for _, x := range gcode.Problems(m.shop.mNow) {
		id := fmt.Sprintf("%s:%d", x.Template, max(0, x.Line-1))
		if wrong[id] == "" {
			wrong[id] = sentence(x.What) + " " + x.Do
		}
	}
	for _, f := range m.profileFields() {
		if f.head != "" {
			rows = append(rows, row{head: true, label: f.head})
		}
		v, known := f.get(m.shop.mNow)
		if f.names != nil {
			at := slices.IndexFunc(f.names, func(string) bool { return false })
			fmt.Sscan(v, &at)
			rows = append(rows, ownChoice(f.id, f.label, f.why, f.names, at, func(m *Model, i int) { f.put(&m.shop.mNow, f.names[i], u) }))
			continue
		}
		r := row{id: f.id, label: f.label, why: f.why, verb: "type it", value: v, typed: f.field != ""}
		if f.field != "" {
			fm := form{Dim: f.field.Range().Dim}
			r.bounds, r.source = fm.bounds(f.field, u), sentence(upperFirst(f.field.Source()))
			if n := fm.Dim.Unit(u); n != "" {
				r.value += " " + n
			}
		}
		if !known {
			r.value, r.state = "not said", stFree
			if strings.Contains(f.id, ":") {
				r.value = "add a line"
			}
		}
		if no, ok := wrong[f.id]; ok {
			r.state, r.bounds = stBad, no
		}
		r.begin = func() string {
			if known {
				return v
			}
			return ""
		}
		r.check = func(s string) (func(*Draft), string) {
			trial := cloneMachine(m.shop.mNow)
			return nil, f.put(&trial, s, u)
		}
		r.take = func(m *Model, s string) tea.Cmd { f.put(&m.shop.mNow, s, u); return nil }
		rows = append(rows, r)
		if f.id == string(job.MachineSensorOffset) {
			rows = append(rows, opensPage("calibrate", "measure it", "", "Touch, jog to true zero with a feeler, enter; some readings give mean and spread.", offsetPage{}))
		}
	}
	rows = append(rows, row{head: true, label: "what to do with it"},
		ownAct("keep", "keep", m.profileState(), "keep", "Into the shop's own store; the state before stays in its history.", func(m *Model) tea.Cmd { return m.keepProfile() }),
		ownAct("use", "take into this job", "", "take", "The job's machine becomes this.", func(m *Model) tea.Cmd {
			x := cloneMachine(m.shop.mNow)
			m.say(inkGood, "the job is for this machine now.")
			return m.change(func(d *Draft) { d.Job.Machine = x })
		}))
	return rowsList(rows)
}

func (m *Model) profileState() string {
	switch wrong := gcode.Problems(m.shop.mNow); {
	case m.shop.mNow.Name.Empty():
		return "waits for a name"
	case len(wrong) > 0:
		return count(len(wrong), "fault") + " in its lines"
	}
	return ""
}

func (m *Model) keepProfile() tea.Cmd {
	if no := m.profileState(); no != "" {
		m.say(inkWarn, "not kept: "+no+".")
		return nil
	}
	was, now, fresh, u := m.shop.mWas, m.shop.mNow, m.shop.mNew, m.shopUnits()
	if _, there := m.eng.Library().Machine(now.Name.String()); there && (fresh || now.Name != was.Name) {
		m.say(inkWarn, "there is a profile of this name: give it another one, or open that one.")
		return nil
	}
	return m.shopWork("keep a profile", func(s presets.Store) (string, error) {
		var saved presets.Saved
		var err error
		if fresh || now.Name != was.Name {
			saved, err = s.SaveMachine(now, u)
		} else {
			saved, err = s.EditMachine(was, now, u)
		}
		if err != nil {
			return "", err
		}
		return strings.TrimSpace("kept in " + saved.Item.String() + ". " + saved.Told()), nil
	}, func(m *Model) {
		if x, ok := m.eng.Library().Machine(now.Name.String()); ok {
			m.shop.mWas, m.shop.mNow, m.shop.mNew = x, cloneMachine(x), false
		}
	})
}

// offsetPage measures the travel between contact and true zero.
type offsetPage struct{ shopView }

func (offsetPage) id() string { return "offset" }
func (offsetPage) title(m *Model) string {
	return "sensor offset of " + orNot(m.shop.mNow.Name.String())
}
func (offsetPage) explain() string {
	return "The torch is off and locked out for all of this. Lay a flat piece on the slats. Touch off as the machine does. Jog down in the smallest steps until a feeler of known thickness under the nozzle just drags: that is true zero plus the feeler. What the readout moved since the sensor tripped, less the feeler, is one reading. Raise, and do it again at another place: three readings at least, five are better."
}
func (p offsetPage) list(m *Model) list {
	u := m.shopUnits()
	rows := []row{{head: true, label: "torch off and locked out; then, each time"}}
	for i, s := range []string{"1  touch off on a flat piece, as the machine does", "2  jog down until a known feeler just drags under the nozzle", "3  enter what it moved since the sensor tripped, less the feeler"} {
		rows = append(rows, row{id: fmt.Sprint("step", i), plain: text(s), why: p.explain()})
	}
	rows = append(rows, m.ownNum("reading", fmt.Sprintf("reading %d", len(m.shop.readings)+1), "Travel between the sensor's trip and true zero.", job.MachineSensorOffset, 0, false,
		func(m *Model, v float64) { m.shop.readings = append(m.shop.readings, v) }, func(*Model) {}))
	for i, v := range m.shop.readings {
		rows = append(rows, row{id: fmt.Sprint("r", i), plain: text(fmt.Sprintf("%d  %s", i+1, u.Length(v))), why: "x takes it out.", hints: []key.Binding{bind("x", "take out", "x")},
			keys: map[string]func(*Model) tea.Cmd{"x": func(m *Model) tea.Cmd {
				m.shop.readings = slices.Delete(slices.Clone(m.shop.readings), i, i+1)
				return nil
			}}})
	}
	o := presets.OffsetOf(m.shop.readings)
	if o.N > 0 {
		mean := row{id: "mean", label: "mean", value: u.Length(o.Value), why: sentence(o.Why), state: stWarn}
		if o.N > 1 {
			mean.note = "spread " + u.Length(o.Spread)
		}
		if o.Ready {
			mean.state = stDone
		}
		rows = append(rows, mean, ownAct("accept", "into the profile", o.Why, "take it", "It still has to be kept with the profile.", func(m *Model) tea.Cmd {
			if !o.Ready {
				m.say(inkWarn, sentence("not taken: "+o.Why))
				return nil
			}
			m.shop.mNow.SensorOffset = job.Of(o.Value)
			m.shop.readings = nil
			m.back()
			m.say(inkGood, "taken: keep the profile. Touch off on scrap and measure the height before the next cut.")
			return nil
		}))
	}
	return rowsList(rows)
}
