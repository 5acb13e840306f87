package tui

import (
	"reflect"
	"testing"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
)

// fill puts something into every field of a value, two into every slice.
func fill(v reflect.Value, n *int) {
	*n++
	switch {
	case v.Type() == reflect.TypeOf(plain.Text{}):
		v.Set(reflect.ValueOf(plain.Of(string(rune('a' + *n%26)))))
	case v.Kind() == reflect.Struct:
		for i := range v.NumField() {
			fill(v.Field(i), n)
		}
	case v.Kind() == reflect.Slice:
		v.Set(reflect.MakeSlice(v.Type(), 2, 2))
		for i := range 2 {
			fill(v.Index(i), n)
		}
	case v.Kind() == reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		fill(v.Elem(), n)
	case v.Kind() == reflect.String:
		v.SetString(string(rune('a' + *n%26)))
	case v.Kind() == reflect.Float64:
		v.SetFloat(float64(*n))
	case v.Kind() == reflect.Bool:
		v.SetBool(true)
	case v.CanInt():
		v.SetInt(int64(*n))
	}
}

func fullJob() job.Job {
	var j job.Job
	n := 0
	fill(reflect.ValueOf(&j).Elem(), &n)
	return j
}

// shared lists the places where two values use the same memory.
func shared(path string, a, b reflect.Value, out *[]string) {
	switch a.Kind() {
	case reflect.Struct:
		for i := range a.NumField() {
			if a.Type().Field(i).IsExported() {
				shared(path+"."+a.Type().Field(i).Name, a.Field(i), b.Field(i), out)
			}
		}
	case reflect.Slice:
		if a.Len() > 0 && a.Pointer() == b.Pointer() {
			*out = append(*out, path)
			return
		}
		for i := range a.Len() {
			shared(path+"[]", a.Index(i), b.Index(i), out)
		}
	case reflect.Pointer:
		if !a.IsNil() && a.Pointer() == b.Pointer() {
			*out = append(*out, path)
		}
	}
}

// TestCloneSharesNothing: a field with a slice that is added to job.Job and
// forgotten in cloneJob is found here. A typed shape is never changed in
// place (package job), so it may be shared.
func TestCloneSharesNothing(t *testing.T) {
	a := fullJob()
	b := cloneJob(a)
	if !reflect.DeepEqual(a, b) {
		t.Fatal("the clone is another job")
	}
	var out []string
	shared("job", reflect.ValueOf(a), reflect.ValueOf(b), &out)
	for _, p := range out {
		if p != "job.Drawings[].Shape" {
			t.Errorf("%s is shared", p)
		}
	}
}

// TestPublishedDraftNeverChanges: main may read a draft while the wizard goes on.
func TestPublishedDraftNeverChanges(t *testing.T) {
	d := start(t, 80, 24)
	d.stock()
	d.process()
	seen := d.m.holder.Load()
	want := cloneJob(seen.Job)
	gen := seen.Gen
	d.go_(featureStage)
	d.at("f:p1.h2").keys("x")
	d.go_(stockStage)
	d.set("stock.thickness", "8")
	d.at("units").keys("right")
	d.at("machine").keys("left")
	d.keys("u u")
	if !reflect.DeepEqual(seen.Job, want) || seen.Gen != gen {
		t.Error("a draft that was published was written to")
	}
	if now := d.m.holder.Load(); now.Gen <= gen {
		t.Errorf("generation %d after %d", now.Gen, gen)
	}
}

func TestOverridesAreSetAndTakenBack(t *testing.T) {
	var j job.Job
	setOverride(&j, job.Override{Feature: "p1.h1"})
	if j.Overrides != nil {
		t.Error("a word that says nothing was stored")
	}
	p := geom.Pt(1, 2)
	setOverride(&j, job.Override{Feature: "p1.h1", Start: &p})
	setOverride(&j, job.Override{Feature: "p1.h2", Rule: "leave"})
	setOverride(&j, job.Override{Feature: "p1.h1", Kind: "mark"})
	if len(j.Overrides) != 2 || j.Overrides[0].Kind != "mark" || j.Overrides[0].Start != nil {
		t.Errorf("%+v", j.Overrides)
	}
	setOverride(&j, job.Override{Feature: "p1.h1"})
	setOverride(&j, job.Override{Feature: "p1.h2"})
	if j.Overrides != nil {
		t.Errorf("%+v", j.Overrides)
	}
}

// TestWhatAPlanRestsOn: confirmations and sums do not make a new plan, all
// else does.
func TestWhatAPlanRestsOn(t *testing.T) {
	a := fullJob()
	b := cloneJob(a)
	b.Checks, b.Files, b.Kept = nil, nil, nil
	if !samePlan(a, b) {
		t.Error("confirmations make another plan")
	}
	v := reflect.ValueOf(&b).Elem()
	for i := range v.NumField() {
		name := v.Type().Field(i).Name
		if name == "Checks" || name == "Files" || name == "Kept" { // a drawing's sum says which copy is read
			continue
		}
		c := cloneJob(a)
		f := reflect.ValueOf(&c).Elem().Field(i)
		f.SetZero()
		if samePlan(a, c) {
			t.Errorf("%s does not make another plan", name)
		}
	}
}

// TestMovingTheFolderKeepsTheDrawings: their names are relative to it.
func TestMovingTheFolderKeepsTheDrawings(t *testing.T) {
	d := Draft{Dir: "/shop/jobs"}
	d.addDrawing("/shop/drawings/leaf.dxf")
	if got := d.Job.Drawings[0].File; got != "../drawings/leaf.dxf" {
		t.Errorf("%q", got)
	}
	d.moveTo("/shop")
	if got := d.Job.Drawings[0].File; got != "drawings/leaf.dxf" {
		t.Errorf("%q", got)
	}
	if d.Name != "leaf" || d.Job.Name.String() != "leaf" {
		t.Errorf("named %q, %q", d.Name, d.Job.Name)
	}
}
