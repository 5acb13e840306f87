package main

// helpers is the file that is added to the package.
const helpers = `package PACKAGE

import (
	"fmt"
	"os"
	"strconv"
	"sync/atomic"
)

type mutNumber interface {
	~int | ~int8 | ~int16 | ~int32 | ~int64 | ~uint | ~uint8 | ~uint16 | ~uint32 | ~uint64 | ~float64 | ~float32
}

var (
	mutActive, _ = strconv.Atoi(os.Getenv("MUTATE"))
	mutFile      = os.Getenv("MUTATE_REACHED")
	mutHit       [1 << 16]atomic.Bool
)

func mutIs(id int) bool {
	if mutFile != "" && !mutHit[id].Swap(true) {
		f, err := os.OpenFile(mutFile, os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o600)
		if err == nil {
			fmt.Fprintln(f, id)
			f.Close()
		}
	}
	return mutActive == id
}

func mutKeep(id int) bool { return !mutIs(id) }

func mutIf(yes, no int, c bool) bool { return !mutIs(no) && (mutIs(yes) || c) }

func mutAnd(id int, x bool, y func() bool) bool {
	if mutIs(id) {
		return x || y()
	}
	return x && y()
}

func mutOr(id int, x bool, y func() bool) bool {
	if mutIs(id) {
		return x && y()
	}
	return x || y()
}

func mutLess[T mutNumber](a, b int, x, y T) bool {
	if mutIs(a) {
		return x <= y
	}
	return mutIs(b) != (x < y)
}

func mutAtMost[T mutNumber](a, b int, x, y T) bool {
	if mutIs(a) {
		return x < y
	}
	return mutIs(b) != (x <= y)
}

func mutMore[T mutNumber](a, b int, x, y T) bool {
	if mutIs(a) {
		return x >= y
	}
	return mutIs(b) != (x > y)
}

func mutAtLeast[T mutNumber](a, b int, x, y T) bool {
	if mutIs(a) {
		return x > y
	}
	return mutIs(b) != (x >= y)
}

func mutLessReal[T mutNumber](a int, x, y T) bool { return mutIs(a) != (x < y) }

func mutAtMostReal[T mutNumber](a int, x, y T) bool { return mutIs(a) != (x <= y) }

func mutMoreReal[T mutNumber](a int, x, y T) bool { return mutIs(a) != (x > y) }

func mutAtLeastReal[T mutNumber](a int, x, y T) bool { return mutIs(a) != (x >= y) }

func mutSame[T mutNumber](a int, x, y T) bool { return mutIs(a) != (x == y) }

func mutOther[T mutNumber](a int, x, y T) bool { return mutIs(a) != (x != y) }

func mutPlus[T mutNumber](a int, x, y T) T {
	if mutIs(a) {
		return x - y
	}
	return x + y
}

func mutMinus[T mutNumber](a int, x, y T) T {
	if mutIs(a) {
		return x + y
	}
	return x - y
}

func mutTimes[T mutNumber](a int, x, y T) T {
	if mutIs(a) {
		return x / y
	}
	return x * y
}

func mutBy[T mutNumber](a int, x, y T) T {
	if mutIs(a) {
		return x * y
	}
	return x / y
}
`
