package jobfile

import (
	"bytes"
	"regexp"
	"strings"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/job"
)

// tableHead is the line of a table's head. A row of a list that begins with a
// bracket holds a comma or a number and is none.
var tableHead = regexp.MustCompile(`(?m)^[ \t]*\[\[?[ \t]*([A-Za-z_][A-Za-z0-9_-]*(?:[ \t]*\.[ \t]*[A-Za-z_][A-Za-z0-9_-]*)*)[ \t]*\]\]?[ \t]*(?:#.*)?\r?$`)

// Rewrite returns the text of a job file with the tables of some names, and
// those under them, as the job has them, and everything else as it stands,
// comments too. If that does not read back as the job, the whole text is
// written anew.
func Rewrite(text []byte, j job.Job, tables ...string) ([]byte, fault.List) {
	fresh, faults := Encode(j)
	if faults.Bad() {
		return nil, faults
	}
	ours := func(name string) bool {
		top, _, _ := strings.Cut(strings.ReplaceAll(strings.ReplaceAll(name, " ", ""), "\t", ""), ".")
		for _, t := range tables {
			if t == top {
				return true
			}
		}
		return false
	}
	old, now := cut(text), cut(fresh)
	var out []byte
	put := func(b []byte) {
		if len(out) > 0 && len(b) > 0 && !bytes.HasSuffix(out, []byte("\n\n")) {
			out = append(bytes.TrimRight(out, "\n"), '\n', '\n')
		}
		out = append(out, b...)
	}
	// Ours go where the first of them stood, else before the first table that
	// follows them in a fresh text, else at the end.
	var mine []byte
	after := map[string]bool{} // tables that follow ours in a fresh text
	seen := false
	for _, s := range now {
		if ours(s.name) {
			mine, seen = append(mine, s.text...), true
		} else if seen {
			after[s.name] = true
		}
	}
	placed := !seen
	for _, s := range old {
		if ours(s.name) && !placed || after[s.name] && !placed && !has(old, ours) {
			put(mine)
			placed = true
		}
		if ours(s.name) {
			put(s.lead) // a person's words stay
			continue
		}
		put(append(bytes.Clone(s.lead), s.text...))
	}
	if !placed {
		put(mine)
	}
	out = append(bytes.TrimRight(out, "\r\n\t "), '\n')
	if back, faults := Decode("", out); !faults.Bad() {
		if again, _ := Encode(back); bytes.Equal(again, fresh) {
			return out, nil
		}
	}
	return fresh, nil
}

// section is a table with its head, and the lines of comment right above it;
// the first of a text has no name.
type section struct {
	name string
	lead []byte
	text []byte
}

var comment = regexp.MustCompile(`(?:(?m:^)[ \t]*#[^\n]*\n)+$`)

func cut(text []byte) []section {
	heads := tableHead.FindAllSubmatchIndex(text, -1)
	out := []section{{text: text}}
	if len(heads) > 0 {
		out[0].text = text[:heads[0][0]]
	}
	for i, h := range heads {
		end := len(text)
		if i+1 < len(heads) {
			end = heads[i+1][0]
		}
		out = append(out, section{name: string(text[h[2]:h[3]]), text: text[h[0]:end]})
	}
	for i := 1; i < len(out); i++ {
		if at := comment.FindIndex(out[i-1].text); at != nil && (i > 1 || at[0] > 0) {
			out[i].lead, out[i-1].text = out[i-1].text[at[0]:], out[i-1].text[:at[0]]
		}
	}
	return out
}

func has(all []section, ours func(string) bool) bool {
	for _, s := range all {
		if ours(s.name) {
			return true
		}
	}
	return false
}
