package planner_test

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
	"pgregory.net/rapid"
)

func editedJob(edits ...job.Edit) job.Job {
	j := gateJob()
	j.Edits = edits
	return j
}

// Every edit is planned and passes the proof, which makes it by itself.
func TestEditedJobsAreProved(t *testing.T) {
	for _, edits := range [][]job.Edit{
		{{Do: job.EditTurn, On: "p1", Angle: 0.3}},
		{{Do: job.EditMirror, On: "p1", Sure: true}},
		{{Do: job.EditScale, On: "p1", Factor: 1.25}},
		{{Do: job.EditCorrect, On: "p1", DrawnX: 160, MeasuredX: 159.1, DrawnY: 80, MeasuredY: 79.9}},
		{{Do: job.EditCorrect, On: "p1", DrawnX: 160, MeasuredX: 150}},
		{{Do: job.EditDiameter, On: "p1.h4", Diameter: 7}, {Do: job.EditLength, On: "p1.s1", Length: 48}},
		{{Do: job.EditMove, On: "p1.c1", X: 3, Y: -2}, {Do: job.EditDelete, On: "p1.h3"}},
		{{Do: job.EditAdd, On: "p1.a1", X: 40, Y: 20, Diameter: 13}, {Do: job.EditAdd, On: "p1.a2", X: 40, Y: 55, Length: 30, Width: 9, Angle: math.Pi / 2}},
		{{Do: job.EditTurn, On: "p1", Angle: 1.1}, {Do: job.EditCorrect, On: "p1", DrawnX: 100, MeasuredX: 101}, {Do: job.EditTurn, On: "p1", Angle: -0.4}, {Do: job.EditMirror, On: "p1", Sure: true}},
	} {
		p := mustPlan(t, editedJob(edits...), leaf())
		if !p.Verdict.OK || !p.DryVerdict.OK {
			t.Errorf("%+v: %+v", edits, p.Verdict.Findings)
		}
		for _, l := range planner.EditLines(editedJob(edits...), p.Tree) {
			want := fmt.Sprintf("(edited: %s %s", l.On, l.What)
			if !strings.Contains(string(p.Text), want) || !strings.Contains(string(p.Text), l.After) {
				t.Errorf("the program does not say %q, %q", want, l.After)
			}
		}
	}
}

// A preset that widens holes, a blank in a fixture, copies and a turned plate
// go with edits.
func TestEditsGoWithTaperBlanksAndCopies(t *testing.T) {
	edits := []job.Edit{{Do: job.EditTurn, On: "p1", Angle: math.Pi / 2}, {Do: job.EditDiameter, On: "p1.h1", Diameter: 16}, {Do: job.EditCorrect, On: "p1", DrawnX: 80, MeasuredX: 79.9}}
	tapered := editedJob(edits...)
	tapered.Process.Taper = []job.TaperPoint{{Ratio: 1, Add: 0.3}, {Ratio: 5, Add: 0.1}}
	blanks := editedJob(edits...)
	blanks.Stock = job.Stock{Material: job.MildSteel, Thickness: 6, Hold: job.Blank, Surface: job.Bare, Fixture: job.Fixture{Datum: job.LowerLeft, Count: 2}}
	copies := editedJob(edits...)
	copies.Drawings[0].Quantity = 2
	copies.Layout.Places = []job.Place{{X: 20, Y: 60, Angle: 0.2}, {X: 380, Y: 60, Mirror: true}}
	for name, j := range map[string]job.Job{"tapered": tapered, "blanks": blanks, "copies": copies} {
		p := mustPlan(t, j, leaf())
		if !p.Verdict.OK || !p.DryVerdict.OK {
			t.Errorf("%s: %+v", name, p.Verdict.Findings)
		}
	}
}

// A program that was made with other edits than the job's is refused.
func TestProgramWithOtherEditsIsRefused(t *testing.T) {
	wanted := []job.Edit{{Do: job.EditDiameter, On: "p1.h1", Diameter: 16}, {Do: job.EditMove, On: "p1.c1", X: 2}, {Do: job.EditTurn, On: "p1", Angle: 0.2}}
	with := func(change func(e []job.Edit) []job.Edit) []job.Edit {
		return change(append([]job.Edit(nil), wanted...))
	}
	for name, cut := range map[string][]job.Edit{
		"none at all":          nil,
		"the first is ignored": wanted[1:],
		"the last is ignored":  wanted[:2],
		"on the wrong feature": with(func(e []job.Edit) []job.Edit { e[0].On = "p1.h3"; return e }),
		"another diameter":     with(func(e []job.Edit) []job.Edit { e[0].Diameter = 16.1; return e }),
		"the other way":        with(func(e []job.Edit) []job.Edit { e[1].X = -2; return e }),
		"turned back":          with(func(e []job.Edit) []job.Edit { e[2].Angle = -0.2; return e }),
		"turned before the move": with(func(e []job.Edit) []job.Edit {
			e[1], e[2] = e[2], e[1]
			return e
		}),
		"mirrored besides":         append(append([]job.Edit(nil), wanted...), job.Edit{Do: job.EditMirror, On: "p1", Sure: true}),
		"a hole deleted besides":   append(append([]job.Edit(nil), wanted...), job.Edit{Do: job.EditDelete, On: "p1.h3"}),
		"a hole added besides":     append(append([]job.Edit(nil), wanted...), job.Edit{Do: job.EditAdd, On: "p1.a1", X: 40, Y: 40, Diameter: 8}),
		"scaled by a hair besides": append(append([]job.Edit(nil), wanted...), job.Edit{Do: job.EditScale, On: "p1", Factor: 1.001}),
		"corrected besides":        append(append([]job.Edit(nil), wanted...), job.Edit{Do: job.EditCorrect, On: "p1", DrawnX: 160, MeasuredX: 159.9}),
	} {
		p := mustPlan(t, editedJob(cut...), leaf())
		v, faults := planner.Prove(context.Background(), editedJob(wanted...), leaf(), p.Text, false)
		if faults.Bad() {
			t.Fatal(faults.Err())
		}
		if v.OK {
			t.Errorf("%s: the program passes", name)
		}
		if v, _ := planner.Prove(context.Background(), editedJob(cut...), leaf(), p.Text, false); !v.OK {
			t.Errorf("%s: its own job refuses it", name)
		}
	}
	p := mustPlan(t, editedJob(wanted...), leaf())
	if v, _ := planner.Prove(context.Background(), gateJob(), leaf(), p.Text, false); v.OK {
		t.Error("an edited program passes for the job without edits")
	}
}

// anyEdit draws edit number n, from 0, on part p1 or on one of its features.
func anyEdit(rt *rapid.T, n int, ids []string) job.Edit {
	size := rapid.Float64Range(2, 40)
	e := job.Edit{Do: rapid.SampledFrom(job.EditKinds()).Draw(rt, "do"), On: "p1", Sure: true}
	if !e.Do.OfPart() {
		e.On = rapid.SampledFrom(ids).Draw(rt, "on")
	}
	switch e.Do {
	case job.EditTurn:
		e.Angle = rapid.Float64Range(-6, 6).Draw(rt, "angle")
	case job.EditScale:
		e.Factor = rapid.Float64Range(0.7, 1.5).Draw(rt, "factor")
	case job.EditCorrect:
		e.DrawnX, e.MeasuredX = 100, rapid.Float64Range(95, 105).Draw(rt, "x")
		e.DrawnY, e.MeasuredY = 100, rapid.Float64Range(95, 105).Draw(rt, "y")
	case job.EditDiameter:
		e.Diameter = size.Draw(rt, "diameter")
	case job.EditLength:
		e.On, e.Length = "p1.s1", rapid.Float64Range(15, 70).Draw(rt, "length")
	case job.EditMove:
		e.X, e.Y = rapid.Float64Range(-10, 10).Draw(rt, "x"), rapid.Float64Range(-10, 10).Draw(rt, "y")
	case job.EditAdd:
		e.On, e.X, e.Y = fmt.Sprintf("p1.a%d", n+1), rapid.Float64Range(10, 150).Draw(rt, "x"), rapid.Float64Range(10, 70).Draw(rt, "y")
		if e.Diameter = size.Draw(rt, "diameter"); rapid.Bool().Draw(rt, "slot") {
			e.Diameter, e.Width, e.Length = 0, size.Draw(rt, "width"), size.Draw(rt, "length")+40
			e.Angle = rapid.Float64Range(-3, 3).Draw(rt, "angle")
		}
	}
	return e
}

// Random edits end in a fault that names an edit, or in a program that passes
// the proof.
func TestRandomEditsAreRefusedOrProved(t *testing.T) {
	proved, refused := 0, 0
	rapid.Check(t, func(rt *rapid.T) {
		ids := []string{"p1.h1", "p1.h2", "p1.h3", "p1.h4", "p1.s1", "p1.c1"}
		j := gateJob()
		j.Stock.Width, j.Stock.Height = 1250, 1250
		for n := range rapid.IntRange(1, 4).Draw(rt, "edits") {
			j.Edits = append(j.Edits, anyEdit(rt, n, ids))
		}
		p, faults := planner.Plan(context.Background(), j, leaf())
		if !faults.Bad() {
			proved++
			return
		}
		refused++
		for _, f := range faults.Sorted() {
			// What is refused is named by the edit, or is a cut that has no room.
			if strings.HasPrefix(f.Code, "edit") || f.Code == "swallowed" || f.Code == "no-lead" || f.Code == "narrow" || f.Code == "offset" {
				return
			}
		}
		text := ""
		if p != nil {
			text = string(p.Text)
		}
		rt.Fatalf("%+v\n%v\n%s", j.Edits, faults.Err(), text)
	})
	if proved < 5 || refused < 3 {
		t.Errorf("%d proved, %d refused: the edits are not random enough", proved, refused)
	}
}

// A correction comes last of what is typed, and a size that is typed twice is
// one edit.
func TestTypedSizesGoBeforeTheCorrection(t *testing.T) {
	correct := job.Edit{Do: job.EditCorrect, On: "p1", DrawnX: 100, MeasuredX: 99}
	turn := job.Edit{Do: job.EditTurn, On: "p1", Angle: 1}
	bore := func(d float64) job.Edit { return job.Edit{Do: job.EditDiameter, On: "p1.h1", Diameter: d} }
	other := job.Edit{Do: job.EditMove, On: "p2.h1", X: 1}
	for _, c := range []struct {
		have []job.Edit
		add  job.Edit
		want string
	}{
		{nil, bore(10), "diameter"},
		{[]job.Edit{turn}, bore(10), "turn diameter"},
		{[]job.Edit{turn, correct}, bore(10), "turn diameter correct"},
		{[]job.Edit{correct, turn}, bore(10), "correct turn diameter"},
		{[]job.Edit{correct, other, correct}, bore(10), "diameter correct move correct"},
		{[]job.Edit{bore(9), correct}, bore(10), "diameter correct"},
		{[]job.Edit{bore(9), turn}, bore(10), "diameter turn diameter"},
		{[]job.Edit{correct}, turn, "correct turn"},
		{[]job.Edit{turn, bore(9)}, turn, "turn diameter turn"},
		{[]job.Edit{turn, other}, turn, "turn move"},
		{[]job.Edit{correct, turn}, job.Edit{Do: job.EditTurn, On: "p1", Angle: -1}, "correct"},
	} {
		out := planner.WithEdit(c.have, c.add)
		var words []string
		for _, e := range out {
			words = append(words, string(e.Do))
		}
		if got := strings.Join(words, " "); got != c.want {
			t.Errorf("%v: got %q, want %q", c.have, got, c.want)
		}
	}
	j := editedJob(job.Edit{Do: job.EditAdd, On: "p1.a1", X: 40, Y: 40, Diameter: 8}, job.Edit{Do: job.EditMove, On: "p1.a1", X: 1}, turn)
	j.Overrides = []job.Override{{Feature: "p1.a1", Rule: "drill"}, {Feature: "p1.h1", Rule: "drill"}}
	if got := planner.WithoutEdit(j, 1); len(got.Edits) != 1 || got.Edits[0] != turn || len(got.Overrides) != 1 || len(j.Edits) != 3 {
		t.Errorf("%+v", got)
	}
	if id := feature.NextAdded("p1", j.Edits); id != "p1.a2" {
		t.Error(id)
	}
}

// Marks and texts go along with their part, and are proved there.
func TestMarksAndTextsGoWithTheirPart(t *testing.T) {
	j := marked()
	j.Texts = []job.Text{{Say: plain.Of("LEFT"), Drawing: 1, X: 110, Y: 15, Height: 8}}
	j.Edits = []job.Edit{{Do: job.EditMirror, On: "p1", Sure: true}, {Do: job.EditTurn, On: "p1", Angle: math.Pi / 2}}
	p := mustPlan(t, j, scribed())
	j.Edits = nil
	q := mustPlan(t, j, scribed())
	if a, b := kinds(p), kinds(q); a != b {
		t.Errorf("%s, without edits %s", a, b)
	}
}
