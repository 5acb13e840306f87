package jobfile

import (
	"bytes"
	"regexp"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/job"
)

var filesHead = regexp.MustCompile(`(?m)^[ \t]*\[\[[ \t]*files[ \t]*\]\][ \t]*(#.*)?\r?$`)

var anyHead = regexp.MustCompile(`(?m)^[ \t]*\[`)

// Restamp returns the text of a job file with other file sums and everything
// else as it stands, comments too. The tables of sums come last in what Encode
// writes; if another table follows them, or the result does not read back as
// the job, the whole text is written anew.
func Restamp(text []byte, j job.Job) ([]byte, fault.List) {
	fresh, faults := Encode(j)
	if faults.Bad() {
		return nil, faults
	}
	keep, tail := text, []byte(nil)
	if at := filesHead.FindIndex(text); at != nil {
		keep = text[:at[0]]
		for _, head := range anyHead.FindAllIndex(text[at[0]:], -1) {
			if !filesHead.Match(line(text[at[0]+head[0]:])) {
				return fresh, faults
			}
		}
	}
	if at := filesHead.FindIndex(fresh); at != nil {
		tail = fresh[at[0]:]
	}
	out := append(bytes.TrimRight(bytes.Clone(keep), "\r\n\t "), '\n')
	if len(tail) > 0 {
		out = append(append(out, '\n'), tail...)
	}
	if back, faults := Decode("", out); !faults.Bad() {
		if again, _ := Encode(back); bytes.Equal(again, fresh) {
			return out, nil
		}
	}
	return fresh, faults
}

func line(text []byte) []byte {
	l, _, _ := bytes.Cut(text, []byte("\n"))
	return l
}
