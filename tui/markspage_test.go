package tui

import (
	"strings"
	"testing"
)

// The operator takes the starting process, adds a text, sees that it lies over
// a cut, moves it, and takes it all back.
func TestTextIsMarkedFromTheWizard(t *testing.T) {
	d, _ := shopFloor(t, 80, 24)
	setUpLeaf(d)
	d.go_(processStage)
	before := string(d.m.res.prog.Text)
	look := inBothSizes(t, d)
	d.at("marks").keys("enter")
	look("empty")
	d.at("start").keys("enter")
	d.at("mark.feed")
	look("process")
	d.at("new").keys("enter")
	d.set("say", "{part} {count}")
	d.set("at", "20 20")
	d.at("say")
	d.shows("The text lies")
	look("over a cut")
	d.set("say", "B2")
	d.set("at", "60 26")
	d.at("texts.height").keys("left")
	look("text")
	p := d.m.res.prog
	if p == nil || !p.Verdict.OK || !p.Cuts[0].Pop && p.Tree.Features[p.Cuts[0].Feature].Kind != "mark" {
		t.Fatalf("no marked program: %v", d.m.res.told)
	}
	d.keys("esc")
	look("texts")
	d.at("text0").keys("d")
	d.set("mark.feed", "")
	if p := d.m.res.prog; p == nil || strings.Contains(string(p.Text), "mark") {
		t.Error("without text and process the program still marks")
	}
	for range 30 {
		d.keys("u")
		if d.m.d.Job.Mark.Feed == 0 && len(d.m.d.Job.Texts) == 0 && d.m.d.Job.Mark.Amps == 0 {
			break
		}
	}
	if p := d.m.res.prog; p == nil || string(p.Text) != before {
		t.Error("taken back, the program is not the one from before")
	}
}
