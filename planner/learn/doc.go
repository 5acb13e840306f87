// Package learn turns what a shop measured on its own cuts into figures: the
// kerf from sizes of parts, the feed from dross, the pierce delay from a row
// of pierces, the drift of the arc voltage, the life of consumables, the
// offset of a touch-off sensor. Readings come in; an estimate goes out, always
// with how far it may be off and on how much it rests, or a reason why nothing
// can be said. It never changes a preset, and keeps nothing.
//
// Below that: least squares (fit.go), Student's t (student.go), a mean that
// loses no digits (mean.go), a monotone curve through points (monotone.go).
package learn
