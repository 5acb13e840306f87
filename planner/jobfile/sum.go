package jobfile

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"regexp"
	"slices"

	"example.org/kerfwright/planner/job"
)

// SumDigits is how many hexadecimal digits Sum gives: enough that two states
// of jobs in one shop do not share them by chance (one in 2^64 a pair).
const SumDigits = 16

// Sum tells one state of a job from another: the first digits of the SHA-256
// of what Encode writes, without what a save adds to it (sums and copies of files)
// and what says nothing of the program (the confirmed checks). Comments,
// spaces and order in a file change nothing. A job that Encode refuses has
// none: "".
func Sum(j job.Job) string {
	j.Checks, j.Files, j.Kept = nil, nil, nil
	j.Layout.Plate = 0 // which plate is looked at changes none
	j.Drawings = slices.Clone(j.Drawings)
	for i := range j.Drawings {
		j.Drawings[i].SHA256 = ""
	}
	text, faults := Encode(j)
	if faults.Bad() {
		return ""
	}
	h := sha256.Sum256(text)
	return fmt.Sprintf("%x", h)[:SumDigits]
}

// SumComment is the line of a program's head that says for which state of its
// job it was written, without the brackets of a comment.
func SumComment(sum string) string { return "job sum: " + sum }

var sumLine = regexp.MustCompile(`^(?:N\d+ )?\(job sum: ([0-9a-f]+)\)\s*$`)

// headLines is how far down a program SumIn looks: its head has some ten lines.
const headLines = 200

// SumIn returns the sum of a job that a program carries in its head, and the
// line, from 1; "" and 0 if it carries none.
func SumIn(program []byte) (sum string, line int) {
	for n := 1; n <= headLines && len(program) > 0; n++ {
		var l []byte
		l, program, _ = bytes.Cut(program, []byte("\n"))
		if m := sumLine.FindSubmatch(l); m != nil {
			return string(m[1]), n
		}
	}
	return "", 0
}
