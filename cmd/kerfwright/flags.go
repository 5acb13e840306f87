package main

import (
	"strings"

	"example.org/kerfwright/planner/plain"
)

// flags are the options of one call: values by name, and what is left over.
type flags struct {
	values map[string][]string
	rest   []string
}

// parse reads args in any order: options may follow operands, since a person
// adds --json at the end. "--" ends the options.
func parse(args []string, known []option) (flags, error) {
	f := flags{values: map[string][]string{}}
	for i := 0; i < len(args); i++ {
		a := args[i]
		if a == "--" {
			f.rest = append(f.rest, args[i+1:]...)
			break
		}
		if len(a) < 2 || a[0] != '-' {
			f.rest = append(f.rest, a)
			continue
		}
		name, value, has := strings.Cut(strings.TrimLeft(a, "-"), "=")
		o, ok := optionOf(known, name)
		switch {
		case !ok:
			return f, usagef("unknown option %q", plain.Clean(a))
		case o.arg == "" && has:
			return f, usagef("%s takes no value", o.dashed())
		case o.arg == "":
		case has:
		case i+1 < len(args):
			i++
			value = args[i]
		default:
			return f, usagef("%s needs a value: %s", o.dashed(), o.arg)
		}
		f.values[name] = append(f.values[name], value)
	}
	return f, nil
}

func optionOf(known []option, name string) (option, bool) {
	for _, o := range known {
		if o.name == name {
			return o, true
		}
	}
	return option{}, false
}

func (f flags) has(name string) bool { return len(f.values[name]) > 0 }

// one returns the last value given for an option, "" if there is none.
func (f flags) one(name string) string {
	v := f.values[name]
	if len(v) == 0 {
		return ""
	}
	return v[len(v)-1]
}
