package tui

import "testing"

func TestRoadIsWalkedToSavedFiles(t *testing.T) {
	d := start(t, 200, 60, func(s *Session) { s.ASCII = true })
	d.stock()
	d.run(d.m.change(func(dr *Draft) { dr.Job.Drawings[0].Quantity = 6 }))
	d.keys("tab")
	d.process()
	d.keys("shift+tab down down")
	t.Log("\n" + d.frame())
	d.m.th.glyphs = unicodeSet
	d.m.plate.lines = nil
	t.Log("\n" + d.frame())
	d.confirmAll()
	t.Log("\n" + d.frame())
	d.go_(saveStage)
	d.at("save").keys("enter")
	t.Log("\n" + d.frame())
	d.m.Update(sz(80, 24))
	t.Log("\n" + d.frame())
	d.keys("?")
	t.Log("\n" + d.frame())
	d.keys("esc")
	d.m.Update(escDue{d.m.in.n})
	d.keys("q")
}
