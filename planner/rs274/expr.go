package rs274

import "math"

// An operator of section 3.3.2.3. Higher rank binds first; equal ranks from
// the left.
type operator struct {
	name string
	rank int
	do   func(a, b float64) float64
}

// ** stands before *, so that it is found first.
var operators = []operator{
	{"**", 3, math.Pow},
	{"*", 2, func(a, b float64) float64 { return a * b }},
	{"/", 2, func(a, b float64) float64 { return a / b }},
	{"mod", 2, modulo},
	{"+", 1, func(a, b float64) float64 { return a + b }},
	{"-", 1, func(a, b float64) float64 { return a - b }},
	{"and", 1, func(a, b float64) float64 { return truth(a != 0 && b != 0) }},
	{"or", 1, func(a, b float64) float64 { return truth(a != 0 || b != 0) }},
	{"xor", 1, func(a, b float64) float64 { return truth((a != 0) != (b != 0)) }},
}

func truth(t bool) float64 {
	if t {
		return 1
	}
	return 0
}

// modulo always gives a result that is not negative, as the standard's example
// of MOD with reals wants it.
func modulo(a, b float64) float64 {
	m := math.Mod(a, b)
	if m < 0 {
		m += math.Abs(b)
	}
	return m
}

// deg is one degree in rad: the functions take and give degrees (section 3.3.2.4).
const deg = math.Pi / 180

var functions = []struct {
	name string
	do   func(a float64) float64
}{
	{"abs", math.Abs},
	{"acos", func(a float64) float64 { return math.Acos(a) / deg }},
	{"asin", func(a float64) float64 { return math.Asin(a) / deg }},
	{"cos", func(a float64) float64 { return math.Cos(a * deg) }},
	{"exp", math.Exp},
	{"fix", math.Floor},
	{"fup", math.Ceil},
	{"ln", math.Log},
	{"round", math.Round},
	{"sin", func(a float64) float64 { return math.Sin(a * deg) }},
	{"sqrt", math.Sqrt},
	{"tan", func(a float64) float64 { return math.Tan(a * deg) }},
}

func finite(v float64, what string) (float64, *problem) {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return 0, bad("expression", "Correct the expression.", "%s has no value", what)
	}
	return v, nil
}

// function reads a function of section 3.3.2.4 with its argument.
func (s *scanner) function() (float64, *problem) {
	if s.take("atan") { // ATAN[a]/[b]
		a, p := s.bracket()
		if p != nil {
			return 0, p
		}
		if s.next() != '/' {
			return 0, bad("expression", "Write ATAN[a]/[b].", "ATAN without / and its second argument")
		}
		b, p := s.bracket()
		if p != nil {
			return 0, p
		}
		return math.Atan2(a, b) / deg, nil
	}
	for _, f := range functions {
		if s.take(f.name) {
			a, p := s.bracket()
			if p != nil {
				return 0, p
			}
			return finite(f.do(a), f.name+"["+format(a)+"]")
		}
	}
	return 0, bad("number", "Write a number.", "%s where a number must stand", show(s.peek()))
}

func (s *scanner) bracket() (float64, *problem) {
	if s.peek() != '[' {
		return 0, bad("expression", "Write its argument in [ ].", "a function without [")
	}
	return s.expression()
}

// expression reads [ a op b op c ... ]. Its depth is bounded by the length of
// a line.
func (s *scanner) expression() (float64, *problem) {
	s.next() // [
	var values [4]float64
	var ops [4]operator // ranks rise, so never more than three wait
	n := 0
	for {
		v, p := s.value()
		if p != nil {
			return 0, p
		}
		values[n] = v
		op, end, p := s.operator()
		if p != nil {
			return 0, p
		}
		for n > 0 && (end || ops[n-1].rank >= op.rank) {
			n--
			v, p := finite(ops[n].do(values[n], values[n+1]), format(values[n])+" "+ops[n].name+" "+format(values[n+1]))
			if p != nil {
				return 0, p
			}
			values[n] = v
		}
		if end {
			return values[0], nil
		}
		ops[n] = op
		n++
	}
}

func (s *scanner) operator() (op operator, end bool, p *problem) {
	if s.peek() == ']' {
		s.i++
		return operator{}, true, nil
	}
	for _, op := range operators {
		if s.take(op.name) {
			return op, false, nil
		}
	}
	return operator{}, false, bad("expression", "Write an operator or ].", "%s inside [ ]", show(s.peek()))
}
