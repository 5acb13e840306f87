package job

import (
	"fmt"
	"hash/fnv"
	"path"
	"regexp"
	"strconv"
	"strings"
)

// FileName says what a program is, so that its file can be named.
type FileName struct {
	Stem   string // the job file's name without its ending
	Plate  int    // from 1; 0 is 1, and the job's own stem
	From   string // "-from-12": the program goes on there; "" is the whole
	Part   int    // from 1, of so many programs; 0: there is one
	Of     int
	DryRun bool
}

// Name returns the name of a program's file as the profile wants it. Where the
// profile limits the signs before the dot, and the usual name or that of its
// dry run has more, both are written short: "gate-hinge-leaf-plate2-2of3-dry"
// becomes "ga-p2n2d".
func (p Program) Name(n FileName) string {
	ext := p.Extension
	if ext == "" {
		ext = "nc"
	}
	long := n
	long.DryRun = true
	if p.NameLength > 0 && len([]rune(long.tagged())) > p.NameLength {
		return n.short(p.NameLength) + "." + ext
	}
	return n.tagged() + "." + ext
}

// Pair names a program and its dry run.
func (p Program) Pair(n FileName) (program, dry string) {
	n.DryRun = false
	program = p.Name(n)
	n.DryRun = true
	return program, p.Name(n)
}

// Parse tells which program of a job, or dry run, a file's name stands for. It
// knows no name but those that Name gives; of a short one, that does not
// tell of how many programs, Of is a guess. Programs that go on from
// some place are left out: there may be any number.
func (p Program) Parse(stem, file string) (FileName, bool) {
	ext := path.Ext(file)
	base := strings.TrimSuffix(file, ext)
	number := func(s string) int {
		n, _ := strconv.Atoi(s)
		return n
	}
	tags, _ := strings.CutPrefix(base, stem)
	for _, m := range [][]string{shortTags.FindStringSubmatch(base), longTags.FindStringSubmatch(tags)} {
		if m == nil {
			continue
		}
		n := FileName{Stem: stem, Plate: max(1, number(m[1])), Part: number(m[2]), Of: number(m[3]), DryRun: m[4] != ""}
		tries := []int{n.Of}
		if n.Part > 0 && n.Of == 0 {
			tries = []int{max(9, n.Part), max(99, n.Part)} // of how many, in one sign or two
		}
		for _, n.Of = range tries {
			if p.Name(n) == file {
				return n, true
			}
		}
	}
	return FileName{}, false
}

// What Name puts behind a stem: plate, part, of how many, dry run.
var (
	longTags  = regexp.MustCompile(`^(?:-plate(\d{1,9}))?(?:-(\d{1,9})of(\d{1,9}))?(-dry)?$`)
	shortTags = regexp.MustCompile(`(?:-(?:p(\d{1,9}))?(?:n(\d{1,9}))?()(d?))?$`)
)

func (n FileName) tagged() string {
	s := n.Stem
	if n.Plate > 1 {
		s += fmt.Sprintf("-plate%d", n.Plate)
	}
	s += n.From
	if n.Part > 0 {
		s += fmt.Sprintf("-%dof%d", n.Part, n.Of)
	}
	if n.DryRun {
		s += "-dry"
	}
	return s
}

// shortFrom writes "-from-line-120" as "l120".
var shortFrom = strings.NewReplacer("-from-line-", "l", "-from-program-", "n", "-line-", "l", "-from-x", "x", "-from-", "f", "-y", "y")

// short is the name in at most so many signs: of the stem what there is room
// for, its letters and digits only, and behind a dash the rest. Where the stem
// is cut, two signs that are reckoned from the whole of it tell it from
// others that begin alike.
func (n FileName) short(most int) string {
	tag := ""
	if n.Plate > 1 {
		tag += fmt.Sprintf("p%d", n.Plate)
	}
	tag += shortFrom.Replace(n.From)
	if n.Part > 0 {
		tag += fmt.Sprintf("n%d", n.Part)
	}
	if n.DryRun {
		tag += "d"
	}
	if tag != "" {
		tag = "-" + tag
	}
	stem := strings.Map(func(r rune) rune {
		switch {
		case r >= 'A' && r <= 'Z':
			return r + 'a' - 'A'
		case r >= 'a' && r <= 'z', r >= '0' && r <= '9':
			return r
		}
		return -1
	}, n.Stem)
	// As much of it for the program as for its dry run, so that both begin alike.
	room := most - len(tag)
	if !n.DryRun {
		room--
		if tag == "" {
			room--
		}
	}
	if stem == n.Stem && len(stem) <= room {
		return stem + tag
	}
	const digits = "0123456789abcdefghijklmnopqrstuvwxyz"
	h := fnv.New32a()
	h.Write([]byte(n.Stem))
	sum := h.Sum32() % 1296
	own := string([]byte{digits[sum/36], digits[sum%36]})
	return stem[:min(len(stem), max(0, room-2))] + own[:max(0, min(2, room))] + tag
}

// FileSum is one file that was saved together with the job, and the SHA-256
// of its bytes. A file beside the job with another sum belongs to another
// save, or was changed since.
type FileSum struct {
	Name   string // base name, in the job's own folder
	SHA256 string // 64 hexadecimal digits, lower case
}
