package main

import (
	"context"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/keep"
)

// whatMoved compares the two states of drawings that have changed since the
// job was saved; ok is false if none has, or if one of the two cannot be read.
func whatMoved(j job.Job, src *keep.Source, loops []*drawing.Loops) (m planner.Moves, ok bool) {
	if !src.Moved() {
		return m, false
	}
	was, now := loops, loops
	other, into := src.Now(), &now
	if src.Anew {
		other, into = src.AsSaved(), &was
	}
	read, bad := planner.Read(context.Background(), j, other)
	if *into = read; bad.Bad() {
		return m, false
	}
	return planner.WhatMoved(j, was, now), true
}
