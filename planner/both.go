package planner

import "sync"

// both works on the program (0) and on its dry run (1) at the same time. A
// panic in either reaches whoever guards the caller.
func both(do func(k int, dry bool)) {
	var why [2]any
	var done sync.WaitGroup
	for k := range why {
		done.Go(func() {
			defer func() { why[k] = recover() }()
			do(k, k == 1)
		})
	}
	done.Wait()
	for _, w := range why {
		if w != nil {
			panic(w)
		}
	}
}
