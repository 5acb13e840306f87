package main

import (
	"fmt"
	"os"
	"slices"
	"strings"
)

// namesOf reads a list: the reason that each fault stands under, by its name.
func namesOf(list string) (map[string]string, error) {
	text, err := os.ReadFile(list)
	if err != nil {
		return nil, err
	}
	names := map[string]string{}
	why, below := "", false
	for l := range strings.Lines(string(text)) {
		l = strings.TrimSpace(l)
		switch {
		case l == "":
			why, below = "", false
		case strings.HasPrefix(l, "#"):
			if below {
				why, below = "", false
			}
			why = strings.TrimSpace(why + strings.TrimLeft(l, "#"))
		default:
			names[l], below = why, true
		}
	}
	return names, nil
}

func checkList(list string, faults []fault) error {
	names, err := namesOf(list)
	if err != nil {
		return err
	}
	for _, f := range faults {
		if why, ok := names[f.name]; ok && why != "" {
			delete(names, f.name)
		}
	}
	var bad []string
	for n, why := range names {
		if why == "" {
			n += ": no reason over it"
		} else {
			n += ": no such fault any more"
		}
		bad = append(bad, n)
	}
	if bad != nil {
		slices.Sort(bad)
		return fmt.Errorf("%s:\n%s", list, strings.Join(bad, "\n"))
	}
	return nil
}
