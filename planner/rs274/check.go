package rs274

// Words of the standard that this reader refuses, because what they do
// depends on more than the text.
var refused = map[int]string{
	280: "the home position is known only to the machine",
	300: "the home position is known only to the machine",
	410: "cutter radius compensation is not followed; write the torch path itself",
	420: "cutter radius compensation is not followed; write the torch path itself",
	430: "tool length offsets are known only to the machine",
	810: "canned cycles are not followed", 820: "canned cycles are not followed", 830: "canned cycles are not followed",
	840: "canned cycles are not followed", 850: "canned cycles are not followed", 860: "canned cycles are not followed",
	870: "canned cycles are not followed", 880: "canned cycles are not followed", 890: "canned cycles are not followed",
}

// Letters with a meaning of their own only beside certain codes.
const argumentLetters = "ABCDHIJKLPQRXYZ"

var arguments = func() (set uint32) {
	for i := range len(argumentLetters) {
		set |= bit(argumentLetters[i])
	}
	return
}()

// check refuses words that do not belong together, before anything is done.
func (r *reader) check(b *block) *problem {
	if len(b.g) == 0 && b.has == 0 {
		return nil
	}
	for _, g := range b.g {
		if why, no := refused[g]; no {
			return bad("not-followed", "Write the moves out.", "%s: %s", code('G', g), why)
		}
	}
	if c := b.first("ABC"); c != 0 {
		return bad("rotary", "Remove it.", "%c: a rotary axis, which a plate torch has not", c)
	}
	motion := r.motionOf(b)
	axes := b.any("XYZ")
	if axes && motion < 0 && !b.hasG(100, 920) && !r.userTakes(b, 'X', 'Y', 'Z') {
		return bad("axis-word", "Write G0, G1, G2 or G3 with it.", "%c with no motion word in force", b.first("XYZ"))
	}
	if b.hasG(800) && axes && !b.hasG(100, 920) {
		return bad("axis-word", "Remove it, or write a motion word.", "%c together with G80", b.first("XYZ"))
	}
	if b.hasG(0, 10, 20, 30, 382) && b.hasG(100, 920) && axes {
		return bad("axis-clash", "Put one of them on a line of its own.", "%s and %s both want the axis words (NISTIR 6556 3.4)",
			code('G', b.gOf(0, 10, 20, 30, 382)), code('G', b.gOf(100, 920)))
	}
	if b.hasG(100) && b.hasG(920, 921, 922, 923) || countG(b, 920, 921, 922, 923) > 1 {
		return bad("axis-clash", "Put them on lines of their own.", "two words on a line that change offsets")
	}
	if b.hasG(0, 10, 20, 30, 382) && !axes {
		return bad("axis-word", "Write where to go.", "%s without X, Y or Z", code('G', b.gOf(0, 10, 20, 30, 382)))
	}
	if b.hasG(920) && !axes {
		return bad("axis-word", "Write X, Y or Z with it.", "G92 without X, Y or Z")
	}
	if b.hasG(100) && (!b.given('L') || b.value('L') != 2 || !b.given('P')) {
		return bad("not-followed", "Write G10 L2 P and the origin.", "G10 is followed only as G10 L2 P")
	}
	if b.hasG(530) {
		switch {
		case motion != 0 && motion != 10:
			return bad("g53", "Use it with G0 or G1.", "G53 without G0 or G1 (NISTIR 6556 3.5.12)")
		case !axes:
			return bad("axis-word", "Write where to go.", "G53 without X, Y or Z")
		case r.modal.Incremental && !b.hasG(900) || b.hasG(910):
			return bad("g53", "Use it in G90.", "G53 in incremental mode")
		}
	}
	if b.hasG(40) {
		switch {
		case !b.given('P'):
			return bad("dwell", "Write P and the seconds.", "G4 without P")
		case b.value('P') < 0:
			return bad("dwell", "Write 0 or more.", "G4 P%s: a negative dwell", format(b.value('P')))
		}
	}
	return r.strays(b, motion)
}

func countG(b *block, tenths ...int) int {
	n := 0
	for _, t := range tenths {
		if b.hasG(t) {
			n++
		}
	}
	return n
}

// motionOf returns the motion (in tenths) that the line makes, or -1.
func (r *reader) motionOf(b *block) int {
	if g := b.gOf(0, 10, 20, 30, 382); g >= 0 {
		return g
	}
	if !b.any("XYZ") || b.hasG(100, 920, 800) || r.userTakes(b, 'X', 'Y', 'Z') || r.modal.Motion == 800 {
		return -1
	}
	return r.modal.Motion
}

// userTakes reports whether a word of the dialect on this line wants one of
// the letters.
func (r *reader) userTakes(b *block, letters ...byte) bool {
	if len(r.o.Words) == 0 {
		return false
	}
	for _, c := range letters {
		if !b.given(c) {
			continue
		}
		for k, list := range [2][]int{b.g, b.m} {
			for _, t := range list {
				if w := r.user("GM"[k], t); w != nil && w.takes(c) {
					return true
				}
			}
		}
	}
	return false
}

func (w *Word) takes(letter byte) bool {
	for i := range len(w.Letters) {
		if w.Letters[i] == letter {
			return true
		}
	}
	return false
}

// strays refuses a letter that no code of the line uses.
func (r *reader) strays(b *block, motion int) *problem {
	if b.has&arguments == 0 {
		return nil
	}
	for i := range len(argumentLetters) {
		c := argumentLetters[i]
		if !b.given(c) || r.userTakes(b, c) {
			continue
		}
		used := false
		switch c {
		case 'X', 'Y', 'Z':
			used = true // checked above
		case 'I', 'J', 'K', 'R':
			used = motion == 20 || motion == 30
		case 'L':
			used = b.hasG(100)
		case 'P':
			used = b.hasG(40, 100) || b.hasG(640) && r.o.PathTolerance
		}
		if !used {
			return bad("stray-word", "Remove it.", "%c with no word on the line that uses it", c)
		}
	}
	return nil
}
