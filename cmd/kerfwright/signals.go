package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/signal"
	"sync"
	"sync/atomic"
	"syscall"
	"time"

	"example.org/kerfwright/tui"
)

// signalError ends the process with 128 + n, as a shell expects of one that a
// signal ended.
type signalError struct {
	name   string
	number int
}

func (s signalError) Error() string { return "kerfwright: ended by " + s.name }

// untilSignal returns a context that ends at HUP, TERM or INT, and a question
// for which it was. Bubble Tea itself knows neither HUP nor an exit code.
func untilSignal() (ctx context.Context, caught func() *signalError, stop func()) {
	ctx, cancel := context.WithCancel(context.Background())
	var got atomic.Pointer[signalError]
	ch := make(chan os.Signal, 4)
	signal.Notify(ch, syscall.SIGHUP, syscall.SIGTERM, syscall.SIGINT)
	over := make(chan struct{})
	go func() {
		select {
		case s := <-ch:
			n, _ := s.(syscall.Signal)
			got.Store(&signalError{s.String(), int(n)})
			cancel()
		case <-over:
		}
	}()
	var once sync.Once
	return ctx, got.Load, func() { once.Do(func() { signal.Stop(ch); close(over); cancel() }) }
}

// patience is how long the wizard may take to leave after a signal: a link
// that has stalled can hold its screen for ever.
const patience = 2 * time.Second

// runGuarded runs the wizard. After a signal it waits no longer than patience
// and keeps the draft with or without the wizard's help.
func runGuarded(ctx context.Context, s tui.Session, caught func() *signalError) (tui.Outcome, error) {
	type end struct {
		out tui.Outcome
		err error
	}
	done := make(chan end, 1)
	go func() {
		out, err := tui.Run(ctx, s)
		done <- end{out, err}
	}()
	select {
	case e := <-done:
		return e.out, e.err
	case <-ctx.Done():
	}
	select {
	case e := <-done:
		return e.out, e.err
	case <-time.After(patience):
	}
	path, err := s.Holder.Keep()
	out := tui.Outcome{Draft: path, Err: err}
	if sig := caught(); sig != nil {
		return out, *sig
	}
	return out, errors.Join(fmt.Errorf("the terminal does not answer"), err)
}
