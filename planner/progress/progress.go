// Package progress carries word of how far long work has come, and of what it
// has in hand, from whoever works to whoever waits. Both hang on a context: a
// context without a listener is told in vain. It knows no clock, starts
// nothing and never waits; what is told changes no result.
package progress

import (
	"context"
	"sync/atomic"
)

// Step is how far the work has come.
type Step struct {
	What string  // such as "order of the cuts"
	Part float64 // of all the work, 0 to 1; it never goes back
	Best string  // what would be kept if it ended now, such as "14 of 20 parts lie"; "" is nothing
}

// Watch hears of the work under one context. Its zero value is ready; it may
// be asked at any time from any goroutine.
type Watch struct {
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

// share is where in the whole the work under a context lies.
type share struct {
	w        *Watch
	what     string
	from, to float64
}

type key struct{}

// With returns a context whose work is heard by w.
func With(ctx context.Context, w *Watch) context.Context {
	return context.WithValue(ctx, key{}, share{w: w, to: 1})
}

// Phase returns the context for one phase of the work: from and to (0 to 1)
// say which part of what ctx stands for it is. It is told at once.
func Phase(ctx context.Context, what string, from, to float64) context.Context {
	s, ok := ctx.Value(key{}).(share)
	if !ok {
		return ctx
	}
	wide := s.to - s.from
	s = share{s.w, what, s.from + from*wide, s.from + to*wide}
	ctx = context.WithValue(ctx, key{}, s)
	Tell(ctx, 0, 1)
	return ctx
}

// Tell says that done of all pieces of the phase are done.
func Tell(ctx context.Context, done, all int) {
	s, ok := ctx.Value(key{}).(share)
	if !ok || all <= 0 {
		return
	}
	part := s.from + (s.to-s.from)*min(1, max(0, float64(done)/float64(all)))
	s.w.put(func(t *Step) { t.What, t.Part = s.what, max(t.Part, part) })
}

// Best says what would be kept if the work ended now.
func Best(ctx context.Context, what string) {
	if s, ok := ctx.Value(key{}).(share); ok {
		s.w.put(func(t *Step) { t.Best = what })
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
			return
		}
	}
}
