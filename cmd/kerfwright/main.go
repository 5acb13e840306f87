// Command kerfwright sets up a cutting job for a plasma table: alone it opens
// the wizard, with a sub-command it does one step for a script. It reads
// flags, opens files and maps results to exit codes; every rule is elsewhere.
package main

import (
	"errors"
	"fmt"
	"io"
	"os"

	"example.org/kerfwright/tui"
	// Answers the terminal's background question before Bubble Tea's own
	// init asks the terminal (see the package).
	_ "example.org/kerfwright/tui/quiet"
)

// Exit codes that scripts rely on.
const (
	exitGood  = 0
	exitBad   = 1
	exitUsage = 2
)

// usageError is a wrong call, told with the line of help that would have helped.
type usageError struct{ error }

func usagef(format string, args ...any) error { return usageError{fmt.Errorf(format, args...)} }

// world is what a command may touch.
type world struct {
	in       *os.File
	out, err io.Writer
	env      func(string) string
}

// tables is where text for people goes. A locale that cannot show more than
// ASCII gets no more.
func (w world) tables() io.Writer { return w.plainly(w.out) }

// complaints is where faults go, likewise.
func (w world) complaints() io.Writer { return w.plainly(w.err) }

func (w world) plainly(out io.Writer) io.Writer {
	if tui.WantsASCII(w.env) {
		return asciiOut{out}
	}
	return out
}

// asciiOut passes text on in ASCII. Every call to Write has whole signs.
type asciiOut struct{ to io.Writer }

func (a asciiOut) Write(b []byte) (int, error) {
	if _, err := io.WriteString(a.to, tui.ASCII(string(b))); err != nil {
		return 0, err
	}
	return len(b), nil
}

func main() {
	os.Exit(run(world{os.Stdin, os.Stdout, os.Stderr, os.Getenv}, os.Args[1:]))
}

// run is main without the process: it returns the exit code.
func run(w world, args []string) int {
	err := dispatch(w, args)
	var usage usageError
	var signal signalError
	switch {
	case err == nil:
		return exitGood
	case errors.As(err, &signal):
		fmt.Fprintln(w.err, signal.Error())
		return 128 + signal.number
	case errors.As(err, &usage):
		fmt.Fprintf(w.complaints(), "kerfwright: %v\nTry: kerfwright help\n", usage.error)
		return exitUsage
	}
	if text := err.Error(); text != "" {
		fmt.Fprintln(w.complaints(), text)
	}
	return exitBad
}

func dispatch(w world, args []string) error {
	c := alone()
	if len(args) > 0 {
		name := args[0]
		switch name {
		case "--help", "-h":
			name = "help"
		case "--version", "-V":
			name = "version"
		}
		if found, ok := find(name); ok {
			c, args = found, args[1:]
		}
	}
	if c.name != "help" && asksHelp(args) {
		return help(w, flags{rest: []string{c.name}})
	}
	f, err := parse(args, c.options)
	if err != nil {
		return err
	}
	return c.run(w, f)
}

// asksHelp reports whether --help or -h stands among the options.
func asksHelp(args []string) bool {
	for _, a := range args {
		switch a {
		case "--help", "-h":
			return true
		case "--":
			return false
		}
	}
	return false
}
