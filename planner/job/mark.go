package job

import "example.org/kerfwright/planner/plain"

// Marking is the process that lines, texts and nothing else are marked with:
// the arc runs over the metal too fast to cut it. A Feed of 0 leaves marks out.
type Marking struct {
	Preset plain.Text
	Feed   float64 // mm/min
	Amps   float64 // A; 0 is the current of the cut
	Height float64 // mm over the plate, lit and moving
	Delay  float64 // s between lighting the arc and moving
	Width  float64 // mm that a marked line is wide
	State  State
	Source plain.Text
}

// Text is a short text that is marked. Where it says {job}, {part} or {count},
// the job's name, the part's name or the number of the copy is put.
type Text struct {
	Say     plain.Text
	Drawing int     // from 1: on every copy, in the drawing's own axes; 0: on the stock, from XY zero
	X, Y    float64 // mm, lower left of the first letter
	Height  float64 // mm of a capital
	Angle   float64 // rad
}
