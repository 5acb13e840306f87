package learn_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/BurntSushi/toml"
	"gonum.org/v1/gonum/interp"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

	"example.org/kerfwright/planner/learn"
)

// strd is testdata/regression.toml.
type strd struct {
	Norris, NoInt1 []line
	Longley        []struct {
		X          [][]float64
		Y          []float64
		B          []float64
		SD         []float64 `toml:"sd_b"`
		ResidualSD float64   `toml:"residual_sd"`
		RSS        float64   `toml:"residual_sum_squares"`
	}
	Univariate []struct {
		Name    string
		N       int
		First   float64
		Then    []float64
		Repeats int
		Mean    float64
		SD      float64 `toml:"standard_deviation"`
	}
	Line     []line `toml:"own_line"`
	Weighted []line `toml:"own_weighted"`
	Power    []struct {
		Thickness, Feed       []float64
		Exponent, Coefficient float64
		At                    float64 `toml:"at_4_5"`
	} `toml:"own_power_law"`
}

type line struct {
	X, Y, W    []float64
	B0, B1     float64
	SD0        float64 `toml:"sd_b0"`
	SD1        float64 `toml:"sd_b1"`
	ResidualSD float64 `toml:"residual_sd"`
	RSS        float64 `toml:"residual_sum_squares"`
}

func reference(t *testing.T) strd {
	t.Helper()
	var r strd
	if _, err := toml.DecodeFile("testdata/regression.toml", &r); err != nil {
		t.Fatal(err)
	}
	if len(r.Norris) != 1 || len(r.NoInt1) != 1 || len(r.Longley) != 1 || len(r.Univariate) != 3 {
		t.Fatal("the reference is not whole")
	}
	return r
}

// digits is how many decimal digits of got are right.
func digits(got, want float64) float64 {
	if got == want {
		return 15
	}
	return min(15, -math.Log10(math.Abs(got-want)/math.Abs(want)))
}

// certified fails unless so many digits of a certified value are right.
func certified(t *testing.T, what string, got, want, least float64) {
	t.Helper()
	if d := digits(got, want); d < least || math.IsNaN(d) {
		t.Errorf("%s: %.16g, certified %.16g: %.1f digits, want %.0f", what, got, want, d, least)
	} else {
		t.Logf("%s: %.1f digits", what, d)
	}
}

func columns(x []float64, constant bool) [][]float64 {
	var rows [][]float64
	for _, v := range x {
		if constant {
			rows = append(rows, []float64{1, v})
		} else {
			rows = append(rows, []float64{v})
		}
	}
	return rows
}

// NIST StRD, linear regression: Norris (lower difficulty), NoInt1 (average),
// Longley (higher). Least squares in double precision is held to 13, 13 and 9
// digits; Longley's condition of about 5e9 (from memory) costs them.
func TestLeastSquaresGivesTheCertifiedValues(t *testing.T) {
	r := reference(t)
	n := r.Norris[0]
	f, err := learn.LeastSquares(columns(n.X, true), n.Y, nil)
	if err != nil {
		t.Fatal(err)
	}
	certified(t, "Norris b0", f.B[0], n.B0, 12)
	certified(t, "Norris b1", f.B[1], n.B1, 13)
	certified(t, "Norris sd b0", f.SD[0], n.SD0, 13)
	certified(t, "Norris sd b1", f.SD[1], n.SD1, 13)
	certified(t, "Norris residual sd", f.Sigma, n.ResidualSD, 13)
	certified(t, "Norris rss", f.RSS, n.RSS, 13)

	n = r.NoInt1[0]
	if f, err = learn.LeastSquares(columns(n.X, false), n.Y, nil); err != nil {
		t.Fatal(err)
	}
	certified(t, "NoInt1 b1", f.B[0], n.B1, 14)
	certified(t, "NoInt1 sd b1", f.SD[0], n.SD1, 13)
	certified(t, "NoInt1 residual sd", f.Sigma, n.ResidualSD, 13)

	l := r.Longley[0]
	var x [][]float64
	for _, row := range l.X {
		x = append(x, append([]float64{1}, row...))
	}
	if f, err = learn.LeastSquares(x, l.Y, nil); err != nil {
		t.Fatal(err)
	}
	for j := range l.B {
		certified(t, "Longley b", f.B[j], l.B[j], 9)
		certified(t, "Longley sd b", f.SD[j], l.SD[j], 9)
	}
	certified(t, "Longley residual sd", f.Sigma, l.ResidualSD, 10)
	certified(t, "Longley rss", f.RSS, l.RSS, 10)
}

// A straight line and a weighted one in exact fractions, and a power law
// through logarithms (derived; see testdata).
func TestLeastSquaresGivesTheExactFractions(t *testing.T) {
	r := reference(t)
	for _, l := range []line{r.Line[0], r.Weighted[0]} {
		f, err := learn.LeastSquares(columns(l.X, true), l.Y, l.W)
		if err != nil {
			t.Fatal(err)
		}
		certified(t, "b0", f.B[0], l.B0, 11)
		certified(t, "b1", f.B[1], l.B1, 11)
	}
	p := r.Power[0]
	var x, y []float64
	for i := range p.Thickness {
		x, y = append(x, math.Log(p.Thickness[i])), append(y, math.Log(p.Feed[i]))
	}
	f, err := learn.LeastSquares(columns(x, true), y, nil)
	if err != nil {
		t.Fatal(err)
	}
	certified(t, "exponent", f.B[1], p.Exponent, 10)
	certified(t, "coefficient", math.Exp(f.B[0]), p.Coefficient, 11)
	certified(t, "feed at 4.5 mm", math.Exp(f.B[0]+f.B[1]*math.Log(4.5)), p.At, 11)
}

// NIST StRD, univariate: NumAcc1 to NumAcc3.
func TestMeanGivesTheCertifiedValues(t *testing.T) {
	for _, u := range reference(t).Univariate {
		v := []float64{u.First}
		for range u.Repeats {
			v = append(v, u.Then...)
		}
		if len(v) != u.N {
			t.Fatalf("%s: %d readings, want %d", u.Name, len(v), u.N)
		}
		m := learn.MeanOf(v)
		certified(t, u.Name+" mean", m.Mean, u.Mean, 14)
		certified(t, u.Name+" sd", m.Spread, u.SD, 9)
		gm, gs := stat.MeanStdDev(v, nil)
		certified(t, u.Name+" mean, gonum", m.Mean, gm, 13)
		certified(t, u.Name+" sd, gonum", m.Spread, gs, 8)
	}
}

// The same fits by gonum's QR, on random readings.
func TestLeastSquaresAgreesWithGonum(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 8))
	for range 200 {
		n, p := 4+random.IntN(20), 1+random.IntN(4)
		data, y := make([]float64, 0, n*p), make([]float64, n)
		var x [][]float64
		for i := range n {
			row := make([]float64, p)
			for j := range row {
				row[j] = random.NormFloat64() * math.Pow(10, float64(j))
			}
			x, data = append(x, row), append(data, row...)
			y[i] = random.NormFloat64() * 10
		}
		f, err := learn.LeastSquares(x, y, nil)
		if err != nil {
			t.Fatal(err)
		}
		var qr mat.QR
		qr.Factorize(mat.NewDense(n, p, data))
		var b mat.VecDense
		if err := qr.SolveVecTo(&b, false, mat.NewVecDense(n, y)); err != nil {
			t.Fatal(err)
		}
		var xtx, inv mat.Dense
		d := mat.NewDense(n, p, data)
		xtx.Mul(d.T(), d)
		if err := inv.Inverse(&xtx); err != nil {
			t.Fatal(err)
		}
		for j := range p {
			if math.Abs(f.B[j]-b.AtVec(j)) > 1e-9*(1+math.Abs(b.AtVec(j))) {
				t.Fatalf("b%d %v, gonum %v", j, f.B[j], b.AtVec(j))
			}
			if f.DoF > 0 {
				if want := f.Sigma * math.Sqrt(inv.At(j, j)); math.Abs(f.SD[j]-want) > 1e-7*want {
					t.Fatalf("sd %v, gonum %v", f.SD[j], want)
				}
			}
		}
	}
}

func TestStudentAgreesWithGonumAndTheTables(t *testing.T) {
	// Two-sided 95 %: tables of Student's t, from memory.
	for dof, want := range map[int]float64{1: 12.706, 2: 4.303, 5: 2.571, 10: 2.228, 30: 2.042, 120: 1.980} {
		if got := learn.Student(dof); math.Abs(got-want) > 0.0005 {
			t.Errorf("%d: %v, tables %v", dof, got, want)
		}
	}
	for dof := 1; dof <= 2000; dof = dof*3/2 + 1 {
		want := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(dof)}.Quantile(0.975)
		if got := learn.Student(dof); math.Abs(got-want) > 1e-9*want {
			t.Errorf("%d: %.15v, gonum %.15v", dof, got, want)
		}
	}
	if !math.IsInf(learn.Student(0), 1) {
		t.Error("no degree of freedom knows no limit")
	}
}

// The curve is Fritsch and Butland's, as gonum has it.
func TestCurveAgreesWithGonum(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	for range 300 {
		n := 2 + random.IntN(8)
		x, y := make([]float64, n), make([]float64, n)
		at := 0.0
		for i := range n {
			at += 0.1 + random.Float64()*3
			x[i], y[i] = at, random.NormFloat64()*100
		}
		c, ok := learn.Through(x, y)
		if !ok {
			t.Fatal("refused")
		}
		var fb interp.FritschButland
		if err := fb.Fit(x, y); err != nil {
			t.Fatal(err)
		}
		for range 50 {
			p := x[0] + random.Float64()*(x[n-1]-x[0])
			if got, want := c.At(p), fb.Predict(p); math.Abs(got-want) > 1e-9*(1+math.Abs(want)) {
				t.Fatalf("at %v: %v, gonum %v\n%v\n%v", p, got, want, x, y)
			}
			if got, want := c.Slope(p), fb.PredictDerivative(p); math.Abs(got-want) > 1e-8*(1+math.Abs(want)) {
				t.Fatalf("slope at %v: %v, gonum %v", p, got, want)
			}
		}
	}
}
