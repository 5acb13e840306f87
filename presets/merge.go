package presets

import (
	"fmt"
	"reflect"
	"slices"
	"strings"

	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
)

// Conflict says that two sessions changed the same figures of one thing. What
// the other one wrote stands.
type Conflict struct {
	What   string
	Fields []string
}

func (c *Conflict) Error() string {
	return fmt.Sprintf("%s: another session has changed %s meanwhile. Nothing was written: open it again, look, and make the change once more",
		plain.Clean(c.What), strings.Join(c.Fields, ", "))
}

// merge3 joins two edits of one thing that began from the same state: what
// only one of them changed is taken from it. both lists what the two changed
// to different values.
func merge3[T any](was, theirs, ours T) (merged T, both []string) {
	out := reflect.ValueOf(&merged).Elem()
	mergeInto(out, reflect.ValueOf(was), reflect.ValueOf(theirs), reflect.ValueOf(ours), "", &both)
	return merged, both
}

// leaf types are taken as a whole.
var leaves = []reflect.Type{reflect.TypeFor[plain.Text](), reflect.TypeFor[job.Opt]()}

func mergeInto(out, was, theirs, ours reflect.Value, name string, both *[]string) {
	t := out.Type()
	if t.Kind() == reflect.Struct && !slices.Contains(leaves, t) {
		for i := range t.NumField() {
			mergeInto(out.Field(i), was.Field(i), theirs.Field(i), ours.Field(i), t.Field(i).Name, both)
		}
		return
	}
	same := func(a, b reflect.Value) bool { return reflect.DeepEqual(a.Interface(), b.Interface()) }
	switch {
	case same(was, ours):
		out.Set(theirs)
	case same(was, theirs), same(ours, theirs):
		out.Set(ours)
	default:
		if w, ok := was.Interface().([]Figure); ok {
			merged, clash := mergeFigures(w, theirs.Interface().([]Figure), ours.Interface().([]Figure))
			out.Set(reflect.ValueOf(merged))
			*both = append(*both, clash...)
			return
		}
		out.Set(theirs)
		*both = append(*both, fieldWords(name))
	}
}

// mergeFigures merges what is known of each figure by itself.
func mergeFigures(was, theirs, ours []Figure) (merged []Figure, both []string) {
	of := func(l []Figure, name string) Figure {
		for _, f := range l {
			if f.Of == name {
				return f
			}
		}
		return Figure{}
	}
	for _, name := range figureFields() {
		w, t, o := of(was, name), of(theirs, name), of(ours, name)
		f := t
		switch {
		case o != w && t != w && o != t:
			both = append(both, "what is known of "+name)
		case o != w:
			f = o
		}
		if f != (Figure{}) {
			merged = append(merged, f)
		}
	}
	return merged, both
}

// fieldWords turns PierceHeight into "pierce height".
func fieldWords(name string) string {
	var b strings.Builder
	for i, r := range name {
		if i > 0 && r >= 'A' && r <= 'Z' {
			b.WriteByte(' ')
		}
		b.WriteRune(r)
	}
	return strings.ToLower(b.String())
}
