package tui

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"example.org/kerfwright/planner/plain"
)

// chooserPage lists a folder: drawings, saved jobs and further folders. Names
// are foreign text: shown cleaned, opened raw.
type chooserPage struct {
	dir string
}

// listing is what a folder held when it was looked at.
type listing struct {
	entries []Entry
	err     error
	done    bool
}

type listDone struct {
	dir     string
	entries []Entry
	err     error
}

func (p chooserPage) id() string { return "files:" + p.dir }
func (p chooserPage) title(m *Model) string {
	return "files in " + plain.Clean(p.dir)
}
func (p chooserPage) wide() bool { return true }
func (p chooserPage) explain() string {
	return "Drawings (DXF, SVG, PDF) are added to the job. A saved job (TOML) replaces what is on the screen; u brings that back. Left goes to the folder above. A path can also be typed or pasted."
}

// choose lays the chooser over the stage and reads the folder; "" is the job's.
func (m *Model) choose(dir string) tea.Cmd {
	if dir == "" {
		dir = m.d.Dir
	}
	p := chooserPage{dir: dir}
	if n := len(m.pages); n > 0 {
		if _, ok := m.pages[n-1].(chooserPage); ok {
			m.pages = m.pages[:n-1]
		}
	}
	m.lay(p)
	eng := m.eng
	return m.work("look into a folder", func() tea.Msg {
		l, err := eng.List(dir)
		return listDone{dir, l, err}
	})
}

func (m *Model) onList(msg listDone) {
	slices.SortStableFunc(msg.entries, func(a, b Entry) int {
		if a.Dir != b.Dir {
			if a.Dir {
				return -1
			}
			return 1
		}
		return strings.Compare(strings.ToLower(a.Name), strings.ToLower(b.Name))
	})
	m.dirs[msg.dir] = listing{msg.entries, msg.err, true}
}

func (p chooserPage) list(m *Model) list {
	rows := []row{
		{id: "path", label: "type a path", begin: func() string { return "" }, check: p.typed(m), verb: "type it", done: (*Model).showDrawing,
			why: "Type or paste the path of a drawing or a job."},
		{id: "up", label: "..  the folder above", verb: "open", why: plain.Clean(filepath.Dir(p.dir)), act: p.open(filepath.Dir(p.dir))},
	}
	l := m.dirs[p.dir]
	switch {
	case !l.done:
		rows = append(rows, row{head: true, label: "looking"})
	case l.err != nil:
		rows = append(rows, row{head: true, label: "cannot be read: " + l.err.Error()})
	}
	hidden := 0
	for i, e := range l.entries {
		full := filepath.Join(p.dir, e.Name)
		r := row{id: fmt.Sprint("e", i, e.Name)}
		switch {
		case e.Dir:
			r.plain, r.verb = line{{e.Name + "/", inkPlain}}, "open"
			r.act = p.open(full)
		case e.Kind == "":
			hidden++
			continue
		default:
			r.plain = line{{e.Name, inkPlain}, {"  " + e.Kind + ", " + size(e.Size), inkFaint}}
			r.verb = "take"
			r.act = func(m *Model) tea.Cmd { return m.pickFile(full) }
		}
		r.why = plain.Clean(full)
		rows = append(rows, r)
	}
	if hidden > 0 {
		rows = append(rows, row{head: true, label: count(hidden, "other file") + " not shown"})
	}
	return rowsList(rows)
}

func (p chooserPage) open(dir string) func(*Model) tea.Cmd {
	return func(m *Model) tea.Cmd { return m.choose(dir) }
}

// typed judges a path by its ending alone: whether the file is there is found
// out when it is read.
func (p chooserPage) typed(m *Model) func(string) (func(*Draft), string) {
	return func(s string) (func(*Draft), string) {
		s = strings.TrimSpace(s)
		if s == "" {
			return nil, ""
		}
		full := s
		if strings.HasPrefix(s, "~/") {
			if home, err := os.UserHomeDir(); err == nil {
				full = filepath.Join(home, s[2:])
			}
		}
		if !filepath.IsAbs(full) {
			full = filepath.Join(p.dir, full)
		}
		if kindOf(full) != "drawing" {
			return nil, "A drawing is wanted here: a path that ends in .dxf, .svg or .pdf. Choose a job from the list."
		}
		return func(d *Draft) { d.addDrawing(full) }, ""
	}
}

// kindOf tells by the name what a file is to the wizard.
func kindOf(name string) string {
	switch strings.ToLower(filepath.Ext(name)) {
	case ".dxf", ".svg", ".pdf":
		return "drawing"
	case ".toml":
		return "job"
	}
	return ""
}

// pickFile takes a file from the list into the job.
func (m *Model) pickFile(path string) tea.Cmd {
	m.pages = nil
	if kindOf(path) == "job" {
		return m.open(path)
	}
	if no := unfit(path); no != "" {
		m.say(inkBad, no)
		return nil
	}
	cmd := m.change(func(d *Draft) { d.addDrawing(path) })
	m.showDrawing()
	return cmd
}

// showDrawing goes back to the stage, to the drawing that was added last.
func (m *Model) showDrawing() {
	m.pages = nil
	m.spotOf(stockView{}).id = drawingID(len(m.d.Job.Drawings) - 1)
}

func (p chooserPage) keys(*Model, row) []key.Binding {
	return []key.Binding{bind("←", "folder above", "left")}
}

func (p chooserPage) press(m *Model, k string, r row) (bool, tea.Cmd) {
	if k == "left" || k == "h" {
		return true, m.choose(filepath.Dir(p.dir))
	}
	if k == "right" && r.verb == "open" && r.act != nil {
		return true, r.act(m)
	}
	return false, nil
}

func size(n int64) string {
	switch {
	case n < 1000:
		return fmt.Sprintf("%d B", n)
	case n < 1000*1000:
		return fmt.Sprintf("%d kB", (n+500)/1000)
	}
	return fmt.Sprintf("%.1f MB", float64(n)/1e6)
}
