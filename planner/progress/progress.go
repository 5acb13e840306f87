// Package progress carries word of how far long work has come, and of what it
// has in hand, from whoever works to whoever waits. It counts what is done and
// guesses nothing: how long the rest takes is for whoever waits to measure.
// Both hang on a context: a context without a listener is told in vain. It
// knows no clock, starts nothing and never waits; what is told changes no
// result.
package progress

import (
	"context"
	"sync/atomic"
)

// Step is how far the work has come.
type Step struct {
	Phase int    // grows by one with every phase that begins
	In    string // the part of the work that the phase belongs to, such as "plate 2 of 3"; "" is the whole
	What  string // such as "order of the cuts"
	Done  int    // of All; it never goes back within a phase
	All   int    // 0: the phase does not count
	Of    string // what is counted, such as "cuts"
	Best  string // what would be kept if it ended now, such as "14 of 20 parts"; "" is nothing
	Look  any    // the same, to be looked at: a pointer that nobody changes what is behind; nil is nothing
}

// Watch hears of the work under one context. Its zero value is ready; it may
// be asked at any time from any goroutine.
type Watch struct {
	Each   func(Step) // hears every step, from whoever works; nil is nobody. Set before the work begins
	step   atomic.Pointer[Step]
	enough atomic.Bool
}

// Step returns what was told last; ok is false before the first word.
func (w *Watch) Step() (s Step, ok bool) {
	if p := w.step.Load(); p != nil {
		return *p, true
	}
	return Step{}, false
}

// Enough asks the work to end with the best that it has in hand. Work that
// has nothing to show goes on: to end that, end its context.
func (w *Watch) Enough() { w.enough.Store(true) }

// share is what the work under a context is for whoever waits.
type share struct {
	w     *Watch
	in    string
	phase int
}

type key struct{}

// With returns a context whose work is heard by w.
func With(ctx context.Context, w *Watch) context.Context {
	return context.WithValue(ctx, key{}, share{w: w})
}

// Part returns a context for one part of what ctx stands for; its phases say so.
func Part(ctx context.Context, in string) context.Context {
	s, ok := ctx.Value(key{}).(share)
	if !ok {
		return ctx
	}
	if s.in != "" {
		in = s.in + ", " + in
	}
	s.in = in
	return context.WithValue(ctx, key{}, s)
}

// Phase begins a phase and returns its context. of names in the plural what
// Tell will count; "" if nothing is counted.
func Phase(ctx context.Context, what, of string) context.Context {
	s, ok := ctx.Value(key{}).(share)
	if !ok {
		return ctx
	}
	s.w.put(func(t *Step) {
		s.phase = t.Phase + 1
		*t = Step{Phase: s.phase, In: s.in, What: what, Of: of, Best: t.Best, Look: t.Look}
	})
	return context.WithValue(ctx, key{}, s)
}

// Tell says that done of all pieces of the phase are done. It counts only while
// the phase is the one that began last.
func Tell(ctx context.Context, done, all int) {
	if s, ok := ctx.Value(key{}).(share); ok && all > 0 {
		s.w.put(func(t *Step) {
			if t.Phase == s.phase {
				t.Done, t.All = max(t.Done, min(done, all)), all
			}
		})
	}
}

// Best says what would be kept if the work ended now; what matters most comes
// first, with a comma behind it.
func Best(ctx context.Context, what string) {
	if s, ok := ctx.Value(key{}).(share); ok {
		s.w.put(func(t *Step) { t.Best = what })
	}
}

// Look hands over what Best said, to be looked at. v is a pointer, and what it
// points to is changed no more.
func Look(ctx context.Context, v any) {
	if s, ok := ctx.Value(key{}).(share); ok {
		s.w.put(func(t *Step) { t.Look = v })
	}
}

// Enough reports whether whoever waits would take the best so far.
func Enough(ctx context.Context) bool {
	s, ok := ctx.Value(key{}).(share)
	return ok && s.w.enough.Load()
}

// put makes the next step out of the last one; goroutines of one phase may
// tell side by side.
func (w *Watch) put(change func(*Step)) {
	for {
		old := w.step.Load()
		var next Step
		if old != nil {
			next = *old
		}
		change(&next)
		if w.step.CompareAndSwap(old, &next) {
			if w.Each != nil {
				w.Each(next)
			}
			return
		}
	}
}
