package jobfile

import (
	"bytes"
	"fmt"
	"regexp"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/job"
)

var (
	fixtureHead = regexp.MustCompile(`(?m)^[ \t]*\[[ \t]*stock[ \t]*\.[ \t]*fixture[ \t]*\][^\n]*\n`)
	anyHead     = regexp.MustCompile(`(?m)^[ \t]*\[`)
	doneLine    = regexp.MustCompile(`(?m)^[ \t]*done[ \t]*=[^\n]*\n`)
)

// Recount returns the text of a job file with another count of pieces done
// (j's own) and everything else as it stands, comments too. If that does not
// read back as the job, the whole text is written anew.
func Recount(text []byte, j job.Job) ([]byte, fault.List) {
	fresh, faults := Encode(j)
	if faults.Bad() {
		return nil, faults
	}
	head := fixtureHead.FindIndex(text)
	if head == nil {
		return fresh, nil
	}
	body, rest := text[head[1]:], []byte(nil)
	if at := anyHead.FindIndex(body); at != nil {
		body, rest = body[:at[0]], body[at[0]:]
	}
	body = doneLine.ReplaceAll(body, nil)
	out := bytes.Clone(text[:head[1]])
	if n := j.Stock.Fixture.Done; n > 0 {
		out = fmt.Appendf(out, "done = %d\n", n)
	}
	out = append(append(out, body...), rest...)
	if back, faults := Decode("", out); !faults.Bad() {
		if again, _ := Encode(back); bytes.Equal(again, fresh) {
			return out, nil
		}
	}
	return fresh, nil
}
