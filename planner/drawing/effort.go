package drawing

// effort is what one step of healing may still do, in looks at a pair of
// things: some 25 ns each. Nothing here may take longer than its file deserves,
// whoever made it: a drawing that a torch can cut needs a fraction of this.
type effort struct {
	most, left int
}

// spend takes n looks; false if there are not as many left.
func (e *effort) spend(n int) bool {
	e.left -= n
	return e.left >= 0
}

func (e *effort) spent() bool { return e.left < 0 }

// What each step of healing is allowed: so much for any file, and so much for
// each segment, as long as there are no more of them than a file of that size
// holds when a person drew it. A megabyte gets 7 million looks a step.
const (
	effortAny     = 2_000_000
	effortSegment = 18
	effortFew     = 150_000 // segments in a file of any size, made by arrays or pressed
	effortBytes   = 8       // of a file, for each segment more

	// What is more than a look costs as many.
	lookAlong = 4  // whether two segments may run along one another
	lookMeet  = 16 // where two segments meet
)

// effortOf is what a step may do to segments from a file of size bytes.
func effortOf(segments, size int) effort {
	n := effortAny + effortSegment*min(segments, effortFew+size/effortBytes)
	return effort{n, n}
}
