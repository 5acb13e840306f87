package tui

import (
	"fmt"

	"github.com/charmbracelet/bubbles/key"
)

// keyLine lists the keys that mean something now, the nearest first. What
// does not fit is left out from the end; ? has them all.
func (m *Model) keyLine() line {
	var ks []key.Binding
	v := m.top()
	list := v.list(m)
	var r row
	if k := m.spotOf(v).settle(list); k >= 0 {
		r = list.at(k)
	}
	as := func(b key.Binding, does string) key.Binding {
		b.SetHelp(b.Help().Key, does)
		return b
	}
	switch {
	case m.ed != nil:
		ks = []key.Binding{as(keyEnter, "take it"), bind("esc", "as it was", "esc"), bind("↑↓", "take it and move", "up")}
	case m.whole:
		ks = m.plateKeys()
	default:
		ks = append(ks, keyUp)
		if r.verb != "" && (r.begin != nil || r.act != nil || r.turn != nil) {
			ks = append(ks, as(keyEnter, r.verb))
		}
		if r.turn != nil {
			ks = append(ks, keyLeft)
		}
		ks = append(ks, v.keys(m, r)...)
		if r := m.waited(); r != nil && r.keeps && !r.enough {
			ks = append(ks, as(keyEsc, "keep the best so far"))
		} else if len(m.pages) > 0 {
			ks = append(ks, keyEsc)
		} else if stage(m.d.Stage) < saveStage {
			ks = append(ks, as(keyNext, stage(m.d.Stage+1).String()))
		} else {
			ks = append(ks, as(keyPrev, "checks"))
		}
		switch {
		case len(m.blocks) > 0:
			ks = append(ks, keyOpen)
		case m.shut() == "" && !m.d.written():
			ks = append(ks, as(keyOpen, "to save"))
		}
		if v.id() != "why" {
			ks = append(ks, keyWhy)
		}
		if len(m.res.told) > 0 && v.id() != "told" {
			ks = append(ks, as(keyTold, fmt.Sprintf("told %d", len(m.res.told))))
		}
		ks = append(ks, keyPlate, keyShop)
		if len(m.undo) > 0 {
			ks = append(ks, keyUndo)
		}
		ks = append(ks, keyQuit)
	}
	l := text(" ")
	for i, b := range ks {
		h := b.Help()
		part := line{{h.Key, inkHead}, {" " + h.Desc, inkFaint}}
		if i > 0 {
			part = append(line{{"  ", inkPlain}}, part...)
		}
		if l.width()+part.width() > m.w-1 {
			break
		}
		l = append(l, part...)
	}
	return l
}
