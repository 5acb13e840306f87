// Package presets holds what the program knows of metals, cuts and machines
// before anybody has typed a figure: thermophysical data, process presets,
// machine profiles, filter shades, sheet gauges, cautions and a demo job, each
// with its source. The embedded files and the user's own folder come in; jobs'
// processes and machines, and a verdict on their plausibility, go out. It
// never guesses beyond its tables, and never hides which figure is unproved.
//
// No figure comes from a maker's chart. How the starting feeds are derived is
// written at the head of each file in process/, and computed again by a test.
package presets
