package tui

import (
	"context"
	"fmt"
	"strconv"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/kerfwright/planner/unit"
)

// What a person types line by line, and what comes of it.

// command does what a line says.
func (l *liner) command(ctx context.Context, s string) {
	m := l.m
	words := strings.Fields(s)
	if len(words) == 0 {
		words = []string{"where"}
	}
	first, rest := words[0], strings.TrimSpace(strings.TrimPrefix(strings.TrimSpace(s), words[0]))
	ids, texts := l.numbered()
	m.saidNew = false
	if k, ok := lineKeys[first]; ok && rest == "" {
		before := m.top().id()
		l.press(k)
		switch {
		case first != "n":
		case len(m.blocks) > 0:
			l.atRow(before)
		default:
			l.say("nothing is open.")
		}
		return
	}
	switch first {
	case "list":
		l.at = ""
		return
	case "more":
		if l.from >= len(ids) {
			l.say("that is all.")
			return
		}
		l.list(ids, texts)
		return
	case "where":
		l.say(fmt.Sprintf("Stage %d of %d, %s", m.d.Stage+1, int(stages), m.top().title(m)))
		l.door = ""
		return
	case "plate", "v":
		l.plate()
		return
	case "?", "help":
		l.explain(ids, rest)
		return
	}
	if n, err := strconv.Atoi(strings.TrimSuffix(first, ".")); err == nil {
		if id, ok := rowOf(ids, n); ok {
			l.act(ctx, id, rest)
		} else {
			l.say(fmt.Sprintf("there is no row %d: list tells them.", n))
		}
		return
	}
	if r := []rune(first); len(r) == 1 {
		if rest != "" {
			n, err := strconv.Atoi(rest)
			id, ok := rowOf(ids, n)
			if err != nil || !ok {
				l.say("a row's number is wanted behind the letter.")
				return
			}
			m.spot().id = id
		}
		if !l.press(runeKey(r[0])) {
			l.say("that means nothing here. ? helps.")
		}
		return
	}
	l.say("that is not understood. ? helps.")
}

// rowOf finds the row by the number that it was told with.
func rowOf(ids []string, n int) (string, bool) {
	for i, id := range ids {
		if id != "" && number(ids, i) == n {
			return id, true
		}
	}
	return "", false
}

// press gives the model one key, as the full screen would.
func (l *liner) press(k tea.KeyMsg) bool {
	l.m.saidNew = false
	did, cmd := l.m.press(k)
	l.run(tea.Batch(cmd, l.m.follow()))
	return did
}

// atRow tells the row that the cursor was brought to.
func (l *liner) atRow(before string) {
	m := l.m
	ls := m.top().list(m)
	if i := m.spot().settle(ls); i >= 0 {
		ids, texts := l.numbered()
		if m.top().id() != before {
			l.tell()
		}
		for k, id := range ids {
			if id == ls.at(i).id {
				l.say(fmt.Sprintf("next open is %d. %s", number(ids, k), texts[k]))
			}
		}
	}
}

// act changes a row or does what it says.
func (l *liner) act(ctx context.Context, id, value string) {
	m := l.m
	ls := m.top().list(m)
	i := ls.find(id)
	if i < 0 {
		return
	}
	r := ls.at(i)
	m.spot().id = id
	switch {
	case value == "+" && r.turn != nil:
		l.press(tea.KeyMsg{Type: tea.KeyRight})
		return
	case value == "-" && r.turn != nil:
		l.press(tea.KeyMsg{Type: tea.KeyLeft})
		return
	case r.begin == nil:
		if value != "" {
			l.say("nothing can be typed there: give the number alone.")
			return
		}
		if did, cmd := m.enter(r); did {
			l.run(tea.Batch(cmd, m.follow()))
		} else {
			l.explainRow(r)
		}
		return
	}
	if value == "" {
		l.explainRow(r)
		name := r.label
		if name == "" {
			name = "value"
		}
		now := r.begin()
		if now == "" {
			now = "nothing"
		}
		s, ok := l.ask(ctx, fmt.Sprintf("%s (now %s; an empty line leaves it, none empties it): ", name, now))
		if !ok || strings.TrimSpace(s) == "" {
			return
		}
		value = s
	}
	if strings.TrimSpace(value) == "none" {
		value = ""
	}
	m.ed = newEditor(id, pasted([]rune(value)))
	m.ed.fresh = false
	_, cmd := m.commit()
	if m.ed != nil {
		l.say("not taken: " + m.no)
		m.ed, m.no = nil, ""
	}
	l.run(tea.Batch(cmd, m.follow()))
}

// explain tells what a row or the view is about.
func (l *liner) explain(ids []string, rest string) {
	m := l.m
	if n, err := strconv.Atoi(rest); err == nil {
		if id, ok := rowOf(ids, n); ok {
			ls := m.top().list(m)
			r := ls.at(ls.find(id))
			l.explainRow(r)
			if r.source != "" {
				l.say(strings.TrimSpace(r.source))
			}
			return
		}
	}
	if e, ok := m.top().(explainer); ok {
		l.say(e.explain())
	}
	l.say(linesHelp)
}

func (l *liner) explainRow(r row) {
	if s := strings.TrimSpace(r.why + " " + r.bounds); s != "" {
		l.say(s)
	}
}

// plate tells in words what the picture shows.
func (l *liner) plate() {
	m := l.m
	p := m.res.prog
	l.say(m.plateTitle(1 << 10))
	if p == nil || m.res.scene == nil || !m.res.scene.planned {
		return
	}
	u := m.d.Job.Units
	line := p.Timeline(m.d.Job)
	for k, c := range p.Cuts {
		f := &p.Tree.Features[c.Feature]
		l.say(fmt.Sprintf("cut %d at %s: %s, %s %s, %s, pierced at %s, takes %s", c.N, clockOf(line.Begin(k)), c.Label, f.Kind, featureSize(f, u), ruleWord(f.Rule),
			placeText(c.Pierce, u), unit.Duration(c.Times.Sum())))
	}
}
