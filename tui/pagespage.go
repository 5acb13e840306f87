package tui

import (
	"fmt"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
)

// pageList is what is known of the pages of one drawing. It is filled page by
// page while the chooser is open, the page under the cursor first.
type pageList struct {
	like   job.Drawing // how it was read, its Page aside
	count  int         // 0: not known yet
	of     map[int]*pageLook
	asking bool
	err    error
}

// pageLook is one page as it was read.
type pageLook struct {
	wide  string // such as "160 mm wide"; "" is nothing
	what  string
	bad   bool
	scene *scene
}

type (
	pagesDone struct {
		file  string
		count int
		err   error
	}
	pageDone struct {
		file string
		like job.Drawing
		page int
		look *pageLook
	}
)

// pagesPage chooses the page of a PDF; the picture shows the one under the
// cursor.
type pagesPage struct {
	page
	n int
}

func (p pagesPage) id() string            { return fmt.Sprint("pages", p.n) }
func (p pagesPage) title(m *Model) string { return "pages of " + m.drawingName(p.n) }
func (p pagesPage) explain() string {
	return "Every page of the file with what it holds. The picture shows the page under the cursor; enter takes it. One drawing of the job is one page: add the file once more to cut from two of its pages."
}

// pageRow says which page is read; left and right go to the next one.
func (m *Model) pageRow(n int) row {
	d := m.d.Job.Drawings[n]
	now := max(1, d.Page)
	r := row{id: string(job.DrawingPage), label: "page", value: fmt.Sprint(now), verb: "look at the pages",
		why: "Page of the PDF that holds the part. Left and right go to the next; enter shows them all."}
	pages := 0
	if l := m.loops(n); l != nil {
		pages = l.Pages
	}
	if k := m.forms.pages[d.File]; k != nil && k.count > 0 {
		pages = k.count
	}
	if pages > 0 {
		r.value += fmt.Sprintf(" of %d", pages)
	}
	r.turn = func(step int) func(*Draft) {
		to := now + step
		if to < 1 || pages > 0 && to > pages || pages == 0 && step > 0 {
			return nil
		}
		return func(d *Draft) { d.Job.Drawings[n].Page = to }
	}
	r.act = func(m *Model) tea.Cmd {
		m.lay(pagesPage{n: n})
		m.spot().id = fmt.Sprint("page", now)
		return nil
	}
	return r
}

func (p pagesPage) list(m *Model) list {
	if p.n >= len(m.d.Job.Drawings) {
		return rowsList(nil)
	}
	d := m.d.Job.Drawings[p.n]
	k := m.forms.pages[d.File]
	switch {
	case k != nil && k.err != nil:
		return rowsList([]row{{id: "none", state: stWarn, plain: text("the pages cannot be counted"), why: k.err.Error()}})
	case k == nil || k.count == 0:
		return rowsList([]row{{id: "none", plain: text("the pages are being counted")}})
	}
	blank := &scene{boxes: []geom.Box{geom.EmptyBox()}}
	return list{n: k.count,
		at: func(i int) row {
			n := i + 1
			r := row{id: fmt.Sprint("page", n), label: fmt.Sprint("page ", n), value: "being read", verb: "take it",
				aim: &aim{feature: -1, drawing: 0, scene: blank}, why: "Enter takes this page."}
			if look := k.of[n]; look != nil {
				r.value, r.note = look.wide, look.what
				if look.scene != nil {
					r.aim.scene = look.scene
				}
				if look.bad {
					r.state, r.value, r.note = stWarn, "nothing to cut", ""
					r.why = sentence(look.what)
				}
			}
			if n == max(1, d.Page) {
				r.why = "This page is the drawing."
				if r.state == stGood {
					r.state = stDone
				}
			}
			r.act = func(m *Model) tea.Cmd {
				m.back()
				if n == max(1, d.Page) {
					return nil
				}
				return m.change(func(d *Draft) { d.Job.Drawings[p.n].Page = n })
			}
			return r
		},
		find: func(id string) int {
			n := 0
			if _, err := fmt.Sscanf(id, "page%d", &n); err != nil || n < 1 || n > k.count {
				return -1
			}
			return n - 1
		}}
}

// seek sets going what the chooser of pages still wants to know: how many
// there are, then the page under the cursor, then the others in order.
func (m *Model) seek() tea.Cmd {
	p, ok := m.top().(pagesPage)
	if !ok || p.n >= len(m.d.Job.Drawings) {
		return nil
	}
	d := m.d.Job.Drawings[p.n]
	like := d
	like.Page = 0
	if m.forms.pages == nil {
		m.forms.pages = map[string]*pageList{}
	}
	k := m.forms.pages[d.File]
	if k == nil || !sameLook(k.like, like) {
		k = &pageList{like: like, of: map[int]*pageLook{}}
		m.forms.pages[d.File] = k
	}
	if k.asking || k.err != nil {
		return nil
	}
	eng, dir, j := m.eng, m.d.Dir, m.d.Job
	if k.count == 0 {
		k.asking = true
		return m.work("count the pages", func() tea.Msg {
			n, err := eng.Pages(j, p.n, dir)
			return pagesDone{d.File, n, err}
		})
	}
	want := 0
	l := p.list(m)
	if i := m.spotOf(p).settle(l); i >= 0 && k.of[i+1] == nil {
		want = i + 1
	}
	for n := 1; want == 0 && n <= k.count; n++ {
		if k.of[n] == nil {
			want = n
		}
	}
	if want == 0 {
		return nil
	}
	k.asking = true
	one := j
	d.Page = want
	one.Drawings, one.Edits, one.Overrides = []job.Drawing{d}, nil, nil
	ctx := m.ctx
	return m.work("read a page", func() tea.Msg {
		loops, faults := eng.Read(ctx, one, dir)
		look := &pageLook{what: "nothing to cut", bad: true}
		for _, f := range faults.Sorted() {
			look.what = f.What
			break
		}
		if l := loops[0]; l != nil && !l.Box.Empty() {
			tree, _ := eng.Features(one, loops)
			look = &pageLook{wide: one.Units.Length(l.Box.Width()) + " wide", what: count(len(l.Closed), "loop"), scene: treeScene(tree, loops)}
		}
		return pageDone{d.File, like, want, look}
	})
}

// sameLook reports whether two drawings give the same pages.
func sameLook(a, b job.Drawing) bool {
	return sameReading(job.Job{Drawings: []job.Drawing{a}}, job.Job{Drawings: []job.Drawing{b}})
}

func (m *Model) onCounted(msg pagesDone) {
	if k := m.forms.pages[msg.file]; k != nil {
		k.count, k.err, k.asking = msg.count, msg.err, false
	}
}

func (m *Model) onLooked(msg pageDone) {
	if k := m.forms.pages[msg.file]; k != nil && sameLook(k.like, msg.like) {
		k.of[msg.page], k.asking = msg.look, false
	}
}
