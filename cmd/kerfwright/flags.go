package main

import (
	"strings"
)

// flags are the options of one call: values by name, and what is left over.
type flags struct {
	values map[string][]string
	rest   []string
}

// parse reads args in any order: options may follow operands, since a person
// adds --json at the end. takes lists options with a value, plain those
// without. "--" ends the options.
func parse(args []string, takes, plain string) (flags, error) {
	f := flags{values: map[string][]string{}}
	known := func(list, name string) bool {
		for _, n := range strings.Fields(list) {
			if n == name {
				return true
			}
		}
		return false
	}
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
		switch {
		case known(plain, name) && !has:
			f.values[name] = append(f.values[name], "")
		case known(plain, name):
			return f, usagef("--%s takes no value", name)
		case !known(takes, name):
			return f, usagef("unknown option %q", a)
		case has:
			f.values[name] = append(f.values[name], value)
		case i+1 < len(args):
			i++
			f.values[name] = append(f.values[name], args[i])
		default:
			return f, usagef("--%s needs a value", name)
		}
	}
	return f, nil
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
