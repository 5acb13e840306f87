// Command kerfwright sets up a cutting job for a plasma table: alone it opens
// the wizard, with a sub-command it does one step for a script. It reads
// flags, opens files and maps results to exit codes; every rule is elsewhere.
package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	// Answers the terminal's background question before Bubble Tea's own
	// init asks the terminal (see the package).
	_ "example.org/kerfwright/tui/quiet"
)

// Exit codes of design.md section 9.
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

type command struct {
	name string
	args string
	what string
	run  func(w world, args []string) error
}

func commands() []command {
	return []command{
		{"inspect", "DRAWING [--units mm|inch] [--page N] [--scale FEATURE=LENGTH] [--layer NAME]... [--json]", "read a drawing and say what is in it", inspect},
		{"new", "DRAWING... -o JOB.toml --material M --thickness T --sheet WxH --amps A [--blank] [--quantity N] [--units U] [--machine PROFILE] [--json]", "make a job from drawings", newJob},
		{"plan", "JOB.toml [-o DIR] [--json]", "plan, prove and write the programs", plan},
		{"proof", "JOB.toml [PROGRAM.nc] [--at CUT | --line N] [--json]", "prove a written program against the drawing", prove},
		{"resume", "JOB.toml --at CUT | --line N [-o DIR] [--json]", "write a program that goes on where a cut was lost", resume},
		{"sheet", "JOB.toml [-o FILE.txt|.svg|.html]", "print the setup sheet", sheet},
		{"pieces", "JOB.toml [--done N] [--json]", "tell, or set, how many blanks of a fixture job are cut", pieces},
		{"demo", "[FOLDER]", "open the wizard on the demo job; without a terminal, plan it", demo},
	}
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
		fmt.Fprintf(w.err, "kerfwright: %v\nTry: kerfwright help\n", usage.error)
		return exitUsage
	}
	if text := err.Error(); text != "" {
		fmt.Fprintln(w.err, text)
	}
	return exitBad
}

func dispatch(w world, args []string) error {
	if len(args) > 0 {
		for _, c := range commands() {
			if c.name == args[0] {
				return c.run(w, args[1:])
			}
		}
		switch args[0] {
		case "help", "--help", "-h":
			help(w.out)
			return nil
		case "version", "--version":
			fmt.Fprintln(w.out, "kerfwright "+version())
			return nil
		}
	}
	return wizard(w, args)
}

func help(out io.Writer) {
	fmt.Fprint(out, "kerfwright [JOB.toml | DRAWING...] [--ascii] [--lines]\n        the wizard: stock, features, process, checks, save\n")
	for _, c := range commands() {
		fmt.Fprintf(out, "kerfwright %s %s\n        %s\n", c.name, c.args, c.what)
	}
	fmt.Fprintln(out, strings.TrimSpace(`
Exit code: 0 good, 1 the job, drawing or program is bad, 2 wrong usage.
Cutting burns, blinds, gases and electrocutes. Local codes, the machine's
manual and qualified people come before anything this program says.`))
}
