package main

import (
	"fmt"
	"go/ast"
	"go/token"
	"go/types"
	"slices"
	"strconv"
	"strings"
)

// file is one file whose faults are built in: the same text, with a call in
// place of every operator, condition and statement that may be faulty.
type file struct {
	name   string
	text   []byte
	tree   *ast.File
	faults *[]fault
	fset   *token.FileSet
	info   *types.Info
	in     string         // the function that is rewritten
	named  map[string]int // how many faults of that name the file has
}

// add notes a fault in n and returns its number.
func (f *file) add(n ast.Node, pos token.Pos, what string) int {
	id := len(*f.faults) + 1
	text := f.source(n)
	if _, ok := n.(ast.Stmt); ok {
		text = what + ": " + text
	} else {
		text += ": " + what
	}
	name := f.name + " " + f.in + ": " + text
	f.named[name]++
	if k := f.named[name]; k > 1 {
		name += fmt.Sprintf(" (%d)", k)
	}
	*f.faults = append(*f.faults, fault{id, f.fset.Position(pos).Line, name})
	return id
}

// source is the text of a node on one line, cut where it gets long.
func (f *file) source(n ast.Node) string {
	text := []rune(strings.Join(strings.Fields(string(f.text[f.off(n.Pos()):f.off(n.End())])), " "))
	if len(text) > 90 {
		text = append(text[:90], '…')
	}
	return string(text)
}

// funcName is the name of a function with its receiver's type.
func (f *file) funcName(fn *ast.FuncDecl) string {
	if fn.Recv == nil {
		return fn.Name.Name
	}
	t := fn.Recv.List[0].Type
	if p, ok := t.(*ast.StarExpr); ok {
		t = p.X
	}
	return f.source(t) + "." + fn.Name.Name
}

type splice struct {
	from, to int
	text     string
}

func (f *file) off(p token.Pos) int { return f.fset.Position(p).Offset }

func (f *file) rewritten() string {
	var out strings.Builder
	at := 0
	for _, d := range f.tree.Decls {
		fn, ok := d.(*ast.FuncDecl)
		if !ok || fn.Body == nil {
			continue
		}
		f.in = f.funcName(fn)
		out.Write(f.text[at:f.off(fn.Body.Pos())])
		out.WriteString(f.node(fn.Body))
		at = f.off(fn.Body.End())
	}
	out.Write(f.text[at:])
	return out.String()
}

// node returns the text of a node with the faults of all that is in it.
func (f *file) node(n ast.Node) string {
	from, to := f.off(n.Pos()), f.off(n.End())
	var in []splice
	ast.Inspect(n, func(c ast.Node) bool {
		if c == nil || c == n {
			return true
		}
		if text, ok := f.faulty(c); ok {
			in = append(in, splice{f.off(c.Pos()), f.off(c.End()), text})
			return false
		}
		return true
	})
	slices.SortFunc(in, func(a, b splice) int { return a.from - b.from })
	var out strings.Builder
	for _, s := range in {
		out.Write(f.text[from:s.from])
		out.WriteString(s.text)
		from = s.to
	}
	out.Write(f.text[from:to])
	return out.String()
}

func (f *file) basic(e ast.Expr, flags types.BasicInfo) bool {
	t := f.info.Types[e]
	if t.Type == nil || t.Value != nil {
		return false
	}
	b, ok := t.Type.Underlying().(*types.Basic)
	return ok && b.Info()&flags != 0
}

func (f *file) constant(e ast.Expr) bool { return f.info.Types[e].Value != nil }

// faulty returns a node with faults of its own.
func (f *file) faulty(n ast.Node) (string, bool) {
	switch n := n.(type) {
	case *ast.BinaryExpr:
		if f.constant(n) {
			return "", false
		}
		x, y := n.X, n.Y
		call := func(name string, what ...string) (string, bool) {
			ids := ""
			for _, w := range what {
				ids += strconv.Itoa(f.add(n, n.OpPos, n.Op.String()+" becomes "+w)) + ", "
			}
			return name + "(" + ids + f.node2(x) + ", " + f.node2(y) + ")", true
		}
		ordered := f.basic(x, types.IsNumeric) || f.basic(y, types.IsNumeric)
		// A limit on lengths, feeds and angles may count itself in or out: only
		// those on whole numbers are moved.
		whole := f.basic(x, types.IsInteger) || f.basic(y, types.IsInteger)
		limit := func(name, less, not string) (string, bool) {
			if !whole {
				return call(name+"Real", not)
			}
			return call(name, less, not)
		}
		switch {
		case n.Op == token.LAND:
			id := f.add(n, n.OpPos, "&& becomes ||")
			return fmt.Sprintf("mutAnd(%d, %s, func() bool { return %s })", id, f.node2(x), f.node2(y)), true
		case n.Op == token.LOR:
			id := f.add(n, n.OpPos, "|| becomes &&")
			return fmt.Sprintf("mutOr(%d, %s, func() bool { return %s })", id, f.node2(x), f.node2(y)), true
		case !ordered:
			return "", false
		case n.Op == token.LSS:
			return limit("mutLess", "<=", ">=")
		case n.Op == token.LEQ:
			return limit("mutAtMost", "<", ">")
		case n.Op == token.GTR:
			return limit("mutMore", ">=", "<=")
		case n.Op == token.GEQ:
			return limit("mutAtLeast", ">", "<")
		case n.Op == token.EQL:
			return call("mutSame", "!=")
		case n.Op == token.NEQ:
			return call("mutOther", "==")
		case !f.basic(n, types.IsNumeric):
			return "", false
		case n.Op == token.ADD:
			return call("mutPlus", "-")
		case n.Op == token.SUB:
			return call("mutMinus", "+")
		case n.Op == token.MUL:
			return call("mutTimes", "/")
		case n.Op == token.QUO:
			return call("mutBy", "*")
		}
	case *ast.IfStmt:
		switch n.Cond.(type) {
		case *ast.BinaryExpr:
			return "", false
		}
		if f.constant(n.Cond) {
			return "", false
		}
		yes, no := f.add(n.Cond, n.Cond.Pos(), "the condition is true"), f.add(n.Cond, n.Cond.Pos(), "the condition is false")
		var out strings.Builder
		out.WriteString("if ")
		if n.Init != nil {
			out.WriteString(f.node(n.Init) + "; ")
		}
		fmt.Fprintf(&out, "mutIf(%d, %d, %s) %s", yes, no, f.node2(n.Cond), f.node(n.Body))
		if n.Else != nil {
			out.WriteString(" else " + f.node2(n.Else))
		}
		return out.String(), true
	case *ast.BlockStmt:
		return f.block(n), true
	case *ast.CaseClause:
		return f.clause(n), true
	}
	return "", false
}

// node2 is node for what may have faults itself.
func (f *file) node2(n ast.Node) string {
	if text, ok := f.faulty(n); ok {
		return text
	}
	return f.node(n)
}

func (f *file) block(b *ast.BlockStmt) string { return "{\n" + f.statements(b.List) + "}" }

func (f *file) clause(c *ast.CaseClause) string {
	var out strings.Builder
	if c.List == nil {
		out.WriteString("default")
	}
	for i, e := range c.List {
		if i == 0 {
			out.WriteString("case ")
		} else {
			out.WriteString(", ")
		}
		out.WriteString(f.node2(e))
	}
	return out.String() + ":\n" + f.statements(c.Body)
}

// statements may each be left out, but for declarations and returns.
func (f *file) statements(list []ast.Stmt) string {
	var out strings.Builder
	for _, s := range list {
		text := f.node2(s)
		skip := false
		switch s := s.(type) {
		case *ast.ExprStmt, *ast.IncDecStmt:
			skip = true
		case *ast.AssignStmt:
			skip = s.Tok != token.DEFINE
		case *ast.BranchStmt:
			skip = s.Tok == token.CONTINUE
		}
		if skip {
			text = fmt.Sprintf("if mutKeep(%d) { %s }", f.add(s, s.Pos(), "left out"), text)
		}
		out.WriteString(text + "\n")
	}
	return out.String()
}
