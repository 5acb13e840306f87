package drawing

import (
	"fmt"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/plain"
)

// builder collects a Raw. A reader says where it is (begin), then draws: a
// pen (moveTo, lineTo, ..., closePath) or whole figures (addLine, addCircle,
// ...). Every figure passes the transform m, which the reader may change at
// any time. Bad numbers and limits are noted once and the figure dropped, so
// that a reader needs no checks of its own.
type builder struct {
	raw Raw
	m   affine
	lim limits

	// progress says which part of the file has been read, 0 to 1; nil: unknown.
	progress func() float64

	plainM   bool // m is the identity
	similarM bool
	mirrorM  bool

	layerOf map[string]int32
	styleOf map[Style]int32
	typeOf  map[string]uint16
	noteOf  map[noteKey]int

	root *builder // holds layers and types; itself, unless made by sub

	cur   item // what begin said; also the open pen's
	open  bool // a pen run is under way
	bad   bool // it holds a number that is not finite or too large
	blown string
}

type noteKey struct {
	code, typ string
	layer     int32
}

func newBuilder(f Format, name plain.Text) *builder {
	b := &builder{
		raw:     Raw{Name: name, Format: f},
		lim:     defaultLimits,
		layerOf: map[string]int32{},
		styleOf: map[Style]int32{},
		typeOf:  map[string]uint16{},
		noteOf:  map[noteKey]int{},
	}
	b.root = b
	b.style(Style{})
	b.setTransform(identity)
	return b
}

// sized tells the size of the file, which what it may hold rests on.
func (b *builder) sized(bytes int) {
	b.raw.size = bytes
	b.lim.vertices = min(b.lim.vertices, fewVertices+bytes/vertexBytes)
	b.lim.copiedVertices = min(b.lim.copiedVertices, fewVertices+bytes/vertexBytes/2)
}

// sub returns a builder with figures and notes of its own that shares the
// layers and types of b: for blocks, symbols and forms that are drawn later.
func (b *builder) sub() *builder {
	s := newBuilder(b.raw.Format, b.raw.Name)
	s.root, s.lim = b.root, b.lim
	return s
}

// setTransform sets the map that every figure passes from now on.
func (b *builder) setTransform(m affine) {
	b.m = m
	b.plainM, b.similarM, b.mirrorM = m.isIdentity(), m.similar(), m.mirrors()
}

// layer returns the index of the layer of that name (any text; case does not
// count) and makes it if it is new.
func (b *builder) layer(name string) int32 {
	b = b.root
	key := foldName(name)
	if i, ok := b.layerOf[key]; ok {
		return i
	}
	if len(b.raw.Layers) >= b.lim.layers {
		b.overLimit("layers", b.lim.layers)
		return 0
	}
	i := int32(len(b.raw.Layers))
	b.raw.Layers = append(b.raw.Layers, RawLayer{Name: plain.Of(name)})
	b.layerOf[key] = i
	return i
}

// style returns the index of an equal style.
func (b *builder) style(s Style) int32 {
	b = b.root
	if i, ok := b.styleOf[s]; ok {
		return i
	}
	if len(b.raw.Styles) >= b.lim.styles {
		return 0
	}
	i := int32(len(b.raw.Styles))
	b.raw.Styles = append(b.raw.Styles, s)
	b.styleOf[s] = i
	return i
}

func (b *builder) typeIndex(name string) uint16 {
	b = b.root
	if i, ok := b.typeOf[name]; ok {
		return i
	}
	if len(b.raw.types) >= b.lim.types {
		return 0
	}
	i := uint16(len(b.raw.types))
	name = plain.Clean(name)
	b.raw.types = append(b.raw.types, name)
	b.typeOf[name] = i
	return i
}

// begin says what the next figures belong to: the entity's type, such as
// "LINE" or "path", its line in the file (0 unknown), its layer and style.
func (b *builder) begin(typ string, line int, layer, style int32, hidden bool) {
	b.endPath()
	b.cur = item{typ: b.typeIndex(typ), line: int32(line), layer: layer, style: style, hidden: hidden}
}

// overLimit notes that a limit was reached. Everything later is dropped.
func (b *builder) overLimit(what string, limit int) {
	if b.blown == "" {
		b.root.blown = fmt.Sprintf("more than %d %s", limit, what)
		b.blown = fmt.Sprintf("more than %d %s", limit, what)
	}
}

// done ends the drawing. It returns nil and a fault if a limit was passed.
func (b *builder) done() (*Raw, fault.List) {
	b.endPath()
	var l fault.List
	if b.blown != "" {
		l.Errorf(fault.Where{File: b.raw.Name.String()}, "limit", "Split the drawing or take away what is not to be cut",
			"the drawing has %s", b.blown)
		return nil, l
	}
	return &b.raw, nil
}
