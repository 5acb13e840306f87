package tui

import (
	"fmt"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/kerfwright/planner/job"
)

// figure is one number of a row that holds several.
type figure struct {
	name  string // said before it
	field job.Field
	form  form // Dim is taken from the field
	bare  bool // its unit is that of the figure behind it
}

// numbers describes a row whose numbers are typed one after the other with
// blanks between them: a hole by its place and diameter.
type numbers struct {
	id, label string
	of        []figure
	now       []float64 // nil: nobody has said
	empty     string    // what stands there then
	put       func(*Draft, []float64)
	judge     func([]float64) string // what is wrong with them together; "" is nothing
	drop      func(*Draft)           // d takes it away; nil: it cannot be taken away
	done      func(*Model)
	why       string
}

// numbers makes the row.
func (m *Model) numbers(n numbers) row {
	u := m.d.Job.Units
	for i := range n.of {
		n.of[i].form.Dim = n.of[i].field.Range().Dim
	}
	names := make([]string, len(n.of))
	for i, f := range n.of {
		names[i] = f.name
	}
	r := row{id: n.id, label: n.label, verb: "type it", why: n.why, done: n.done}
	r.bounds = "Typed with blanks between: " + strings.Join(names, ", ") + "."
	for _, f := range n.of {
		r.source += sentence(upperFirst(f.name)+": "+f.form.bounds(f.field, u)+" "+upperFirst(f.field.Source())) + " "
	}
	if n.now == nil {
		r.plain = line{{n.label, inkPlain}, {n.empty, inkFaint}}
		r.verb = "type one"
	} else {
		r.plain = line{{n.label, inkPlain}}
		for i, f := range n.of {
			s := f.form.show(n.now[i], u)
			if f.bare {
				s = f.form.typed(n.now[i], u)
			}
			r.plain = r.plain.add(inkFaint, " "+f.name+" ").add(inkPlain, s)
		}
	}
	r.begin = func() string {
		s := make([]string, len(n.now))
		for i := range n.now {
			s[i] = n.of[i].form.typed(n.now[i], u)
		}
		return strings.Join(s, "  ")
	}
	r.check = func(s string) (func(*Draft), string) {
		if strings.TrimSpace(s) == "" && n.now == nil {
			return nil, ""
		}
		v, no := parseFigures(s, n.of, m)
		if no != "" {
			return nil, no
		}
		if n.judge != nil {
			if no := n.judge(v); no != "" {
				return nil, sentence(no)
			}
		}
		same := n.now != nil
		for i := range n.now {
			same = same && n.now[i] == v[i]
		}
		if same {
			return nil, ""
		}
		return func(d *Draft) { n.put(d, v) }, ""
	}
	if n.drop != nil {
		r.why += " d takes it away."
		r.keys = map[string]func(*Model) tea.Cmd{"d": func(m *Model) tea.Cmd { return m.change(n.drop) }}
	}
	return r
}

// parseFigures reads as many numbers as are wanted, each within its range.
func parseFigures(s string, of []figure, m *Model) ([]float64, string) {
	u := m.d.Job.Units
	parts := strings.FieldsFunc(s, func(r rune) bool { return r == ' ' || r == ',' || r == ';' })
	if len(parts) != len(of) {
		next := ""
		if len(parts) < len(of) {
			next = ", next " + of[len(parts)].name
		}
		return nil, fmt.Sprintf("%d of %s%s. ", len(parts), count(len(of), "number"), next) + "A blank between them, such as 12.5 40."
	}
	v := make([]float64, len(of))
	for i, f := range of {
		x, err := f.form.parse(parts[i], u)
		if err != nil {
			return nil, f.name + ": " + sentence(err.Error())
		}
		if f.field.Check(x, u) != nil {
			return nil, fmt.Sprintf("%s %s: out of range. %s", f.name, f.form.show(x, u), f.form.bounds(f.field, u))
		}
		v[i] = x
	}
	return v, ""
}
