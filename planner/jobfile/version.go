package jobfile

import (
	"fmt"
	"strconv"
)

// Version writes the format's number, or reads it: a text without one is of
// the first format. ok is false for a text of a newer format than newest,
// which is an Error; nothing more can be read of it, and it must stay as it
// is. Version comes before everything else, Units too.
func (f *Form) Version(newest int) (format int, ok bool) {
	const key = "version"
	if f.out != nil {
		f.out.set(key, strconv.Itoa(newest), "")
		return newest, true
	}
	raw, there := f.in.get(key)
	if !there {
		return 1, true
	}
	n, isWhole := raw.(int64)

	switch {
	case !isWhole || n < 1:
		f.fault(key, "file-version", "", "must be a whole number from 1")
		return 1, true
	case n > int64(newest):
		f.in.askAll()
		f.fault(key, "file-version", "Use the newer program, or take an older copy from the file's history.",
			"%s", fmt.Sprintf("written by a newer Kerfwright: this one reads formats up to %d. The file is left as it is", newest))
		return int(n), false
	}
	return int(n), true
}

// Moment reads or writes a point in time as RFC 3339; "" says nothing.
func (f *Form) Moment(key string, v *string) { f.String(key, v, moment) }

// Refuse adds an Error at a key that is well formed by itself but does not go
// with the others.
func (f *Form) Refuse(key, code, what string) { f.fault(key, code, "", "%s", what) }

// Line returns the line and column at which item i, from 0, of the list under
// a path of keys stands; of the last key itself if the list has no such item,
// and 0 where there is none or when writing.
func (f *Form) Line(i int, path ...string) (line, col int) {
	if f.in == nil {
		return 0, 0
	}
	n := f.in.at
	for _, key := range path {
		next := n.key(key)
		if next == nil {
			break
		}
		n = next
	}
	if i >= 0 && n.item(i) != nil {
		n = n.item(i)
	}
	return n.line, n.col
}
