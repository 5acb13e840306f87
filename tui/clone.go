package tui

import (
	"reflect"

	"example.org/kerfwright/planner/job"
)

// cloneJob copies a job with every slice and pointer in it, whatever fields
// the job has or comes to have.
func cloneJob(j job.Job) job.Job {
	deepen(reflect.ValueOf(&j).Elem())
	return j
}

func cloneMachine(m job.Machine) job.Machine {
	deepen(reflect.ValueOf(&m).Elem())
	return m
}

// deepen gives v its own copy of all that it refers to. What is not exported
// cannot be written to through a draft, and is shared.
func deepen(v reflect.Value) {
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			if f := v.Field(i); f.CanSet() && refers(f.Type()) {
				deepen(f)
			}
		}
	case reflect.Array:
		for i := range v.Len() {
			deepen(v.Index(i))
		}
	case reflect.Slice:
		if v.IsNil() {
			return
		}
		own := reflect.MakeSlice(v.Type(), v.Len(), v.Len())
		reflect.Copy(own, v)
		v.Set(own)
		if refers(v.Type().Elem()) {
			for i := range v.Len() {
				deepen(v.Index(i))
			}
		}
	case reflect.Pointer:
		if v.IsNil() {
			return
		}
		own := reflect.New(v.Type().Elem())
		own.Elem().Set(v.Elem())
		v.Set(own)
		deepen(own.Elem())
	case reflect.Map, reflect.Interface, reflect.Func, reflect.Chan:
		panic("tui: internal: a job holds a " + v.Kind().String())
	}
}

// refers reports whether values of t may hold references.
func refers(t reflect.Type) bool {
	switch t.Kind() {
	case reflect.Struct:
		for i := range t.NumField() {
			if refers(t.Field(i).Type) {
				return true
			}
		}
		return false
	case reflect.Array:
		return refers(t.Elem())
	case reflect.Slice, reflect.Pointer, reflect.Map, reflect.Interface, reflect.Func, reflect.Chan:
		return true
	}
	return false
}
