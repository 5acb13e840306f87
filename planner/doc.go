// Package planner turns a job into a proved program. A job and the bytes of
// its drawings come in; features, a plan, two texts and every fault go out.
// It opens nothing, prints nothing, keeps no state and asks no clock: the
// same job gives the same bytes.
//
// # The pipe, phase by phase
//
//   - drawing: a file becomes closed and open paths in mm, arcs kept. What
//     was joined, mended, dropped or left is listed (Read, in read.go).
//   - feature: paths become parts and features; the edits that were made at the
//     controller are done on them, in order (feature/edit.go); then each gets a
//     rule of the trade and the reason for it (Features, in read.go).
//   - layout: every copy gets its place on the stock (plan.go); a nest by true
//     shapes is made beforehand and kept in the job as places (nesting.go).
//     One plate is planned at a time, Plates plans them all (plates.go).
//   - geom.Offset, lead, motion: each feature is set up once: the torch's
//     path half a kerf off the edge, ways to pierce and come in, the true
//     feed along it, and where height is held (setup.go, hold.go, ground.go).
//   - place.go: copies get the setups of their part, less what neighbours
//     and the edges of an offcut forbid; a part may lie in the cut-out of
//     another copy (lodge.go).
//   - order: the cuts get their order and each its start (place.go).
//     What the job wishes of the order is in sequence.go.
//     Which part must be pierced before a neighbour's kerf takes the metal from
//     under it is in solid.go.
//     Edges that one cut parts are in share.go.
//     The cut that trims the skeleton comes behind all others (trim.go).
//   - travel.go: ways and heights of rapids, touch-offs, times. What lies
//     loose and the ways round it are in floor.go.
//   - gcode: the texts, by the machine profile's templates (text.go).
//   - proof: the texts are read back by rs274 and swept against the parts.
//     It gets text, parts and stock, never the Program (text.go builds its
//     input from the job and the tree alone).
//
// Resume takes a job up again where it was left (resume.go finds the place,
// takeup.go finishes the lost cut); the proof reads the whole program to see
// for itself what was cut. Cost reckons what a plan takes (package cost),
// SetupSheet and Picture make the sheet.
//
// Plan, in plan.go, is that list as code. Around it: Ready says what a job
// still lacks, Checks computes the checks before the cut, Sheet the setup
// sheet. Below it lie the leaf packages that every phase shares: job (what a
// person decided), fault (what is wrong, where, what to do), plain (foreign
// text made harmless), unit (conversion at the edges), geom, report.
package planner
