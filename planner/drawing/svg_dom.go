package drawing

import (
	"bytes"
	"context"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"strings"

	"golang.org/x/text/encoding/htmlindex"
)

// Limits of an SVG file, beside those of every drawing.
const (
	svgDepth    = 256       // elements within one another; drawing programs write up to about 30 (from memory)
	svgElements = 4_000_000 //
	svgEntities = 100       // declared in the document type
	svgEntity   = 1_000     // characters of one of them
	svgRules    = 5_000     // style rules
)

// svgAttr names the attributes and properties that mean something here.
type svgAttr uint8

const (
	attrNone svgAttr = iota
	attrID
	attrClass
	attrStyle
	attrTransform
	attrD
	attrPoints
	attrX
	attrY
	attrWidth
	attrHeight
	attrRX
	attrRY
	attrCX
	attrCY
	attrR
	attrX1
	attrY1
	attrX2
	attrY2
	attrHref
	attrViewBox
	attrAspect
	attrLabel
	attrGroupMode
	attrDataName
	attrMaker    // version of the program that wrote the file
	attrRequires // of a child of switch
	attrType     // of a style element

	propDisplay // from here on also in style sheets
	propVisibility
	propFill
	propStroke
	propStrokeWidth
	propDash
	propOpacity
	propFillOpacity
	propStrokeOpacity
	propColor
	propFontSize
	propTransformOrigin
	propTransform // of a style sheet; it beats the attribute
	propClip
	propMask
	propCount
)

var svgProps = map[string]svgAttr{
	"display": propDisplay, "visibility": propVisibility, "fill": propFill, "stroke": propStroke,
	"stroke-width": propStrokeWidth, "stroke-dasharray": propDash, "opacity": propOpacity,
	"fill-opacity": propFillOpacity, "stroke-opacity": propStrokeOpacity, "color": propColor,
	"font-size": propFontSize, "transform-origin": propTransformOrigin, "transform": propTransform,
	"clip-path": propClip, "mask": propMask,
}

var svgAttrs = map[string]svgAttr{
	"id": attrID, "class": attrClass, "style": attrStyle, "transform": attrTransform, "d": attrD, "points": attrPoints,
	"x": attrX, "y": attrY, "width": attrWidth, "height": attrHeight, "rx": attrRX, "ry": attrRY,
	"cx": attrCX, "cy": attrCY, "r": attrR, "x1": attrX1, "y1": attrY1, "x2": attrX2, "y2": attrY2,
	"viewBox": attrViewBox, "preserveAspectRatio": attrAspect, "data-name": attrDataName, "type": attrType,
	"requiredExtensions": attrRequires, "systemLanguage": attrRequires,
}

// svgNode is one element of ours with the attributes that matter.
type svgNode struct {
	name  string
	line  int
	attrs []svgPair
	kids  []*svgNode
	text  string // of a style element
}

type svgPair struct {
	key   svgAttr
	value string
}

func (n *svgNode) attr(k svgAttr) (string, bool) {
	for _, a := range n.attrs {
		if a.key == k {
			return a.value, true
		}
	}
	return "", false
}

func (n *svgNode) value(k svgAttr) string { v, _ := n.attr(k); return v }

// svgDoc is a file's elements.
type svgDoc struct {
	root  *svgNode
	byID  map[string]*svgNode
	maker string // the program that wrote it, as far as it says
}

const svgSpace = "http://www.w3.org/2000/svg"

// errSVGLimit says which limit a file passed.
type errSVGLimit struct {
	limit int
	what  string
}

func (e errSVGLimit) Error() string { return fmt.Sprintf("more than %d %s", e.limit, e.what) }

// svgIgnored are elements that are never drawn and hold nothing to draw. The
// rest of defs is kept: use may draw it.
var svgIgnored = map[string]bool{
	"clipPath": true, "mask": true, "marker": true, "pattern": true, "linearGradient": true, "radialGradient": true,
	"meshgradient": true, "hatch": true, "filter": true, "metadata": true, "title": true, "desc": true, "script": true,
	"font": true, "font-face": true, "glyph": true, "missing-glyph": true, "view": true, "cursor": true,
	"animate": true, "animateTransform": true, "animateMotion": true, "set": true, "color-profile": true,
}

// parseSVG reads the elements. The error is about the line returned.
func parseSVG(ctx context.Context, data []byte) (doc *svgDoc, line int, err error) {
	data, wide, err := toBytes(data)
	if err != nil {
		return nil, 1, errors.New("the text is not valid UTF-16")
	}
	d := xml.NewDecoder(bytes.NewReader(data))
	d.CharsetReader = func(label string, in io.Reader) (io.Reader, error) {
		if wide { // it is UTF-8 by now
			return in, nil
		}
		e, err := htmlindex.Get(label)
		if err != nil {
			return nil, errors.New("the encoding is not known")
		}
		return e.NewDecoder().Reader(in), nil
	}
	p := svgParser{d: d, doc: &svgDoc{byID: map[string]*svgNode{}}}
	for n := 0; ; n++ {
		if n&0x3ff == 0 && ctx.Err() != nil {
			return nil, 0, ctx.Err()
		}
		tok, err := d.Token()
		if err == nil {
			err = p.token(tok)
		}
		if err == io.EOF {
			break
		}
		if err != nil {
			line, _ = d.InputPos()
			return nil, line, err
		}
	}
	if p.doc.root == nil {
		return nil, 1, errors.New("there is no svg element")
	}
	return p.doc, 0, nil
}

type svgParser struct {
	d     *xml.Decoder
	doc   *svgDoc
	stack []*svgNode
	skip  int // elements deep in what is not ours
	count int
}

func (p *svgParser) token(tok xml.Token) error {
	switch t := tok.(type) {
	case xml.StartElement:
		return p.start(t)
	case xml.EndElement:
		if p.skip > 0 {
			p.skip--
		} else if len(p.stack) > 0 {
			p.stack = p.stack[:len(p.stack)-1]
		}
	case xml.CharData:
		if n := len(p.stack); n > 0 && p.skip == 0 && p.stack[n-1].name == "style" {
			p.stack[n-1].text += string(t)
		}
	case xml.Comment:
		if p.doc.root == nil && p.doc.maker == "" {
			p.doc.maker = string(t[:min(len(t), 200)])
		}
	case xml.Directive:
		return p.docType(string(t))
	}
	return nil
}

func (p *svgParser) start(t xml.StartElement) error {
	if p.skip > 0 {
		p.skip++
		if p.skip > svgDepth {
			return errSVGLimit{svgDepth, "elements within one another"}
		}
		return nil
	}
	ours := t.Name.Space == svgSpace || t.Name.Space == "" || t.Name.Space == "svg"
	if !ours || svgIgnored[t.Name.Local] || p.doc.root != nil && len(p.stack) == 0 {
		p.skip = 1
		return nil
	}
	if p.doc.root == nil && t.Name.Local != "svg" {
		return fmt.Errorf("the first element is %s, not svg", t.Name.Local)
	}
	if len(p.stack) >= svgDepth {
		return errSVGLimit{svgDepth, "elements within one another"}
	}
	if p.count++; p.count > svgElements {
		return errSVGLimit{svgElements, "elements"}
	}
	n := &svgNode{name: t.Name.Local}
	n.line, _ = p.d.InputPos()
	n.attrs = svgPairs(t.Attr)
	if p.doc.root == nil {
		p.doc.root = n
		if v, ok := n.attr(attrMaker); ok && !strings.Contains(p.doc.maker, "Inkscape") {
			p.doc.maker = "Inkscape " + v
		} else if ok {
			p.doc.maker += " " + v
		}
	} else {
		up := p.stack[len(p.stack)-1]
		up.kids = append(up.kids, n)
	}
	if id, ok := n.attr(attrID); ok {
		if _, twice := p.doc.byID[id]; !twice { // the first one counts
			p.doc.byID[id] = n
		}
	}
	p.stack = append(p.stack, n)
	return nil
}

// svgPairs keeps the attributes that mean something.
func svgPairs(all []xml.Attr) []svgPair {
	kept := 0
	keys := make([]svgAttr, len(all))
	for i, a := range all {
		if keys[i] = svgKey(a.Name); keys[i] != attrNone {
			kept++
		}
	}
	if kept == 0 {
		return nil
	}
	out := make([]svgPair, 0, kept)
	for i, k := range keys {
		if k != attrNone {
			out = append(out, svgPair{k, all[i].Value})
		}
	}
	return out
}

func svgKey(n xml.Name) svgAttr {
	switch {
	case n.Local == "href":
		return attrHref
	case strings.Contains(n.Space, "inkscape"):
		switch n.Local {
		case "label":
			return attrLabel
		case "groupmode":
			return attrGroupMode
		case "version":
			return attrMaker
		}
		return attrNone
	case n.Space != "" && n.Space != svgSpace:
		return attrNone
	}
	if k, ok := svgAttrs[n.Local]; ok {
		return k
	}
	if k := svgProps[n.Local]; k != propTransform {
		return k
	}
	return attrNone
}

// docType reads the entities that a document type declares, such as the names
// of name spaces. Their text is never looked at again for more entities, so
// none can grow.
func (p *svgParser) docType(s string) error {
	if !strings.HasPrefix(s, "DOCTYPE") {
		return nil
	}
	count := 0
	for {
		_, rest, ok := strings.Cut(s, "<!ENTITY")
		if !ok {
			return nil
		}
		s = rest
		f := strings.Fields(s[:min(len(s), 200)])
		if len(f) < 2 || f[0] == "%" || strings.ContainsAny(f[1][:1], "SP") {
			continue // of a kind that names another file
		}
		q := strings.IndexAny(s, `"'`)
		if q < 0 {
			continue
		}
		text, after, ok := strings.Cut(s[q+1:], s[q:q+1])
		if !ok {
			return nil
		}
		s = after
		if count++; count > svgEntities {
			return errSVGLimit{svgEntities, "entities"}
		}
		if len(text) > svgEntity {
			return errSVGLimit{svgEntity, "characters in an entity"}
		}
		if p.d.Entity == nil {
			p.d.Entity = map[string]string{}
		}
		p.d.Entity[f[0]] = text
	}
}
