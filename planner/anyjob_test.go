package planner_test

import (
	"bytes"
	"context"
	"fmt"
	"io/fs"
	"strconv"
	"strings"
	"testing"
	"time"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/jobfile"
	"example.org/kerfwright/planner/unit"
	"pgregory.net/rapid"
)

// mapSources are drawings in memory.
type mapSources map[string][]byte

func (m mapSources) Drawing(name string) ([]byte, error) {
	if text, ok := m[name]; ok {
		return text, nil
	}
	return nil, fs.ErrNotExist
}

// asDXF writes closed paths as LWPOLYLINE entities (DXF reference: 90 count,
// 70 bit 1 closed, 10/20 vertex, 42 bulge) under a header that gives mm.
func asDXF(paths []geom.Path) []byte {
	var b strings.Builder
	b.WriteString("0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n")
	num := func(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
	for _, p := range paths {
		fmt.Fprintf(&b, "0\nLWPOLYLINE\n8\nCUT\n90\n%d\n70\n1\n", len(p.V))
		for _, v := range p.V {
			fmt.Fprintf(&b, "10\n%s\n20\n%s\n42\n%s\n", num(v.P.X), num(v.P.Y), num(v.Bulge))
		}
	}
	b.WriteString("0\nENDSEC\n0\nEOF\n")
	return []byte(b.String())
}

// wholeJob draws a job and the files that it names.
func wholeJob(rt *rapid.T) (job.Job, mapSources) {
	j := anyJob(rt)
	src := mapSources{"leaf.dxf": asDXF(anyPart(rt))}
	some := func(what string) bool { return rapid.IntRange(0, 3).Draw(rt, what) == 0 }
	if some("inch job") {
		j.Units = unit.Inch
	}
	if some("second drawing") {
		src["b.dxf"] = asDXF(anyPart(rt))
		j.Drawings = append(j.Drawings, job.Drawing{File: "b.dxf", Quantity: rapid.IntRange(0, 2).Draw(rt, "b")})
	}
	if some("typed") {
		s := job.NewShape(job.ShapeFlange)
		if rapid.Bool().Draw(rt, "ring") {
			s = job.NewShape(job.ShapeRing)
		}
		j.Drawings = append(j.Drawings, job.Drawing{Shape: &s, Quantity: 1})
	}
	if rapid.IntRange(0, 19).Draw(rt, "gone") == 19 { // a drawing that is not there
		j.Drawings = append(j.Drawings, job.Drawing{File: "gone.dxf"})
	}
	if some("edited") {
		for n := range rapid.IntRange(1, 3).Draw(rt, "edits") {
			e := anyEdit(rt, n, []string{"p1.h1", "p1.h2", "p1.s1", "p1.c1", "p1.outline", "p2.h1"})
			if some("wild") {
				e.Factor, e.Diameter, e.Length = 100, 40000, 50000
			}
			j.Edits = append(j.Edits, e)
		}
	}
	if some("override") {
		o := job.Override{Feature: rapid.SampledFrom([]string{"p1.h1", "p1.outline", "p1.c1", "p1.s1", "p2.h1"}).Draw(rt, "feature")}
		if rapid.Bool().Draw(rt, "slower") {
			o.Feed = rapid.Float64Range(0.2, 1.2).Draw(rt, "its feed")
		}
		if rapid.Bool().Draw(rt, "started") {
			o.Start = &geom.Point{X: rapid.Float64Range(0, 200).Draw(rt, "x"), Y: rapid.Float64Range(0, 200).Draw(rt, "y")}
		}
		j.Overrides = append(j.Overrides, o)
	}
	return j, src
}

// ofTheFiles are reasons of refusal besides, which jobs with files of their own can have.
var ofTheFiles = map[string]bool{"drawing-open": true, "drawing-missing": true, "override-unknown": true, "blank-drawings": true}

// planLimit is far above what any of these jobs takes (they have at most some
// hundred cuts): a plan that needs it would not end.
const planLimit = 2 * time.Minute

// wholeJobHolds: the plan ends; what is refused is refused with a reason that
// is not the proof's; what is not refused is proved, by the command's proof
// too; the saved job, opened again, gives the same bytes.
func wholeJobHolds(rt *rapid.T) {
	j, src := wholeJob(rt)
	run := func(j job.Job) (*planner.Program, fault.List) {
		ctx, stop := context.WithTimeout(context.Background(), planLimit)
		defer stop()
		loops, faults := planner.Read(ctx, j, src)
		p, more := planner.Plan(ctx, j, loops)
		if ctx.Err() != nil {
			rt.Fatalf("the plan does not end")
		}
		if faults = append(faults, more...); faults.Bad() {
			return p, faults
		}
		if r, more := planner.Prove(ctx, j, loops, p.Text, false); !r.OK || more.Bad() {
			rt.Fatalf("planned, but the proof alone says %v %v\n%s", r.Findings, more, p.Text)
		}
		if r, more := planner.Prove(ctx, j, loops, p.Dry, true); !r.OK || more.Bad() {
			rt.Fatalf("planned, but the proof alone says of the dry run %v %v\n%s", r.Findings, more, p.Dry)
		}
		return p, faults
	}
	p, faults := run(j)
	for _, f := range faults.At(fault.Error) {
		if !refusals[f.Code] && !ofTheFiles[f.Code] && !strings.HasPrefix(f.Code, "edit-") || f.What == "" || f.Do == "" {
			rt.Fatalf("%s: %v", f.Code, f)
		}
	}
	text, more := jobfile.Encode(j)
	if more.Bad() {
		rt.Fatalf("cannot be saved: %v", more.Err())
	}
	again, more := jobfile.Decode("again.toml", text)
	if more.Bad() {
		rt.Fatalf("cannot be opened again: %v\n%s", more.Err(), text)
	}
	if twice, _ := jobfile.Encode(again); !bytes.Equal(text, twice) {
		rt.Fatalf("saved again, the job differs:\n%s\n%s", text, twice)
	}
	q, same := run(again)
	if fmt.Sprint(faults) != fmt.Sprint(same) {
		rt.Fatalf("opened again, it is said:\n%v\nwhere it was\n%v", same, faults)
	}
	if !faults.Bad() && (!bytes.Equal(p.Text, q.Text) || !bytes.Equal(p.Dry, q.Dry)) {
		rt.Fatalf("opened again, the program differs:\n%s\n%s", p.Text, q.Text)
	}
}

func TestWholeRandomJobsAreRefusedOrProvedAndReopenTheSame(t *testing.T) {
	if testing.Short() {
		t.Skip("plans some hundred jobs")
	}
	rapid.Check(t, wholeJobHolds)
}

// FuzzJob is the same, led by what the code does with the jobs.
func FuzzJob(f *testing.F) { f.Fuzz(rapid.MakeFuzz(wholeJobHolds)) }
