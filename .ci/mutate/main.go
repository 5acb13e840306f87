// Mutate asks whether a package's tests see small faults in its code. It
// builds the tests once, with every fault in it, and runs them once for each
// fault that they reach. Told are the faults that no test sees.
//
//	go run .ci/mutate/*.go [-run REGEXP] [-skip REGEXP] [-with PACKAGE] [-j N] [-only LIST] [-but LIST] PACKAGE-FOLDER [FILE...]
//	go run .ci/mutate/*.go -check LIST PACKAGE-FOLDER
//
// -with takes the tests of another package. A LIST has a fault on a line, named
// by its file, its function and what it changes there, not by the line, which
// moves; a line that begins with # says why no test can see the faults under
// it. -only looks at the faults of the list, -but at all others. -check runs no
// test: it says which lines of the list name no fault or stand under no reason.
package main

import (
	"flag"
	"fmt"
	"os"
	"slices"
	"time"
)

func main() {
	var t tests
	flag.StringVar(&t.run, "run", "", "tests to run")
	flag.StringVar(&t.skip, "skip", "", "tests to leave out")
	flag.StringVar(&t.dir, "with", "", "folder of the package whose tests are run")
	flag.DurationVar(&t.patience, "t", 60*time.Second, "time for one run")
	jobs := flag.Int("j", 1, "faults looked at together")
	only := flag.String("only", "", "list of the faults to look at")
	but := flag.String("but", "", "list of the faults to leave out")
	list := flag.String("check", "", "list to check against the code; no test is run")
	flag.Parse()
	if flag.NArg() == 0 {
		flag.Usage()
		os.Exit(2)
	}
	code, err := read(flag.Arg(0), flag.Args()[1:])
	check(err)
	if *list != "" {
		check(checkList(*list, code.faults))
		return
	}
	wanted := code.faults
	for _, l := range []struct {
		name string
		keep bool
	}{{*only, true}, {*but, false}} {
		if l.name == "" {
			continue
		}
		in, err := namesOf(l.name)
		check(err)
		wanted = slices.DeleteFunc(slices.Clone(wanted), func(f fault) bool { _, ok := in[f.name]; return ok != l.keep })
	}
	check(t.look(code, wanted, *jobs))
}

func check(err error) {
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}
