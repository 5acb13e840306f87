package order_test

import (
	"context"
	"errors"
	"slices"
	"testing"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/order"
)

func square() order.Problem {
	at := func(x, y float64) []geom.Point { return []geom.Point{geom.Pt(x, y)} }
	return order.Problem{Nodes: []order.Node{
		{Starts: at(0, 0), After: []int{1, 2}, Name: "p1.o1"},
		{Starts: at(10, 0), Name: "p1.h1"},
		{Starts: at(20, 0), Name: "p1.h2"},
	}, Start: &geom.Point{}}
}

func TestOutlineIsCutLast(t *testing.T) {
	r, err := order.Solve(context.Background(), square(), order.Options{})
	if err != nil || !slices.Equal(r.Order, []int{2, 1, 0}) && !slices.Equal(r.Order, []int{1, 2, 0}) {
		t.Fatal(r, err)
	}
	if r.Length != 40 || r.Bound > r.Length {
		t.Error(r)
	}
}

func TestCircleOfPrecedencesNamesItsCuts(t *testing.T) {
	p := square()
	p.Nodes[2].After = []int{0}
	_, err := order.Solve(context.Background(), p, order.Options{})
	var c *order.CycleError
	if !errors.As(err, &c) || !slices.Equal(c.Names, []string{"p1.h2", "p1.o1"}) && !slices.Equal(c.Names, []string{"p1.o1", "p1.h2"}) {
		t.Fatal(err)
	}
}
