package drawing_test

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/plain"
)

// mega repeats s up to a megabyte.
func mega(s string) string { return strings.Repeat(s, 1<<20/len(s)) }

// hostileSVG are files of up to a megabyte made to take time or memory. says
// is what the fault must name; "" allows anything but a crash.
func hostileSVG() map[string]struct{ data, says string } {
	doubling := func() string {
		var b strings.Builder
		b.WriteString(`<defs><path id="a0" d="M0 0h9v9z"/>`)
		for i := range 30 {
			fmt.Fprintf(&b, `<g id="a%d"><use href="#a%d"/><use href="#a%d"/></g>`, i+1, i, i)
		}
		return b.String() + `</defs><use href="#a30"/>`
	}
	chain := func() string {
		var b strings.Builder
		b.WriteString(`<path id="a0" d="M0 0h9v9z"/>`)
		for i := range 20000 {
			fmt.Fprintf(&b, `<use id="a%d" href="#a%d"/>`, i+1, i)
		}
		return b.String()
	}
	rules := func() string {
		var b strings.Builder
		b.WriteString(`<style>`)
		for i := range 4000 {
			fmt.Fprintf(&b, `.a.b%d{fill:red}`, i)
		}
		return b.String() + `</style>` + strings.Repeat(`<path class="a" d="M0 0h9v9z"/>`, 30000)
	}
	entities := `<!DOCTYPE svg [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;&a;&a;"><!ENTITY c "&b;&b;&b;&b;&b;&b;&b;&b;&b;&b;">]>`
	many := `<!DOCTYPE svg [` + strings.Repeat(`<!ENTITY a "a">`, 200) + `]>`
	return map[string]struct{ data, says string }{
		"deep groups":           {page(mega("<g>")), "elements within one another"},
		"deep foreign elements": {page(mega(`<x:a xmlns:x="u">`)), "elements within one another"},
		"uses that double":      {page(doubling()), "made by use"},
		"a chain of uses":       {page(chain()), "uses within one another"},
		"a long path used":      {page(`<path id="p" d="M0 0` + strings.Repeat("l1 1", 200000) + `"/>` + strings.Repeat(`<use href="#p"/>`, 20000)), "vertices"},
		"entities in entities":  {entities + page(`<g id="&c;"/><path d="M0 0h9v9z"/>`), ""},
		"many entities":         {many + page(""), "entities"},
		"a long entity":         {`<!DOCTYPE svg [<!ENTITY a "` + strings.Repeat("a", 2000) + `">]>` + page(""), "characters in an entity"},
		"rules times elements":  {page(rules()), ""},
		"many rules":            {page(`<style>` + mega(`a{fill:red}`) + `</style>`), "style rules"},
		"a long path":           {page(`<path d="M0 0` + mega("l1 1") + `"/>`), ""},
		"curves without end":    {page(`<path d="M0 0` + mega("c1 9 9 1 5 5")[:1<<16] + `"/>`), ""},
		"arcs without end":      {page(`<path d="M0 0` + mega("a9 5 3 11 5 5")[:1<<16] + `"/>`), ""},
		"moves without end":     {page(`<path d="` + mega("M0 0") + `"/>`), ""},
		"many layers":           {page(strings.Repeat(`<g id="A"/><g id="B"/>`, 40000)), ""},
		"many little ones":      {page(mega(`<a/>`)), ""},
		"transforms":            {page(`<g transform="` + mega("scale(9)") + `"><path d="M0 0h9v9z"/></g>`), ""},
		"one attribute":         {page(`<path id="` + mega("a") + `" d="M0 0h9v9z"/>`), ""},
		"one text":              {page(`<text>` + mega("a") + `</text>`), ""},
		"numbers too large":     {page(`<path d="M1e308 1e308h1e308v1e308z"/><rect width="1e999" height="9"/><circle r="1e200"/>`), ""},
		"a page of no size":     {`<svg xmlns="http://www.w3.org/2000/svg" width="1e-320mm" height="1e300mm" viewBox="0 0 1e300 1e-300"><path d="M0 0h9v9z"/></svg>`, ""},
	}
}

func TestHostileSVGEndsInAFaultThatNamesItsLimit(t *testing.T) {
	for name, c := range hostileSVG() {
		if len(c.data) > 2<<20 {
			t.Errorf("%s: %d bytes", name, len(c.data))
		}
		r, f := drawing.Parse(context.Background(), []byte(c.data), plain.Of(name), 0)
		if (r == nil) != f.Bad() {
			t.Errorf("%s: %v", name, f)
		}
		hold(t, []byte(c.data))
		if c.says == "" {
			continue
		}
		if !has(f, "limit", fault.Error) || !strings.Contains(f.Err().Error(), c.says) {
			t.Errorf("%s: %.300v, want %q", name, f, c.says)
		}
	}
}

func TestBrokenXMLIsRefusedWithItsLine(t *testing.T) {
	for name, data := range map[string]string{
		"torn":         "<svg xmlns=\"http://www.w3.org/2000/svg\">\n<g>\n<path",
		"crossed":      "<svg>\n<g></svg>",
		"no svg":       "<html>\n<svg/></html>",
		"encoding":     "<?xml version=\"1.0\" encoding=\"klingon\"?>\n<svg/>",
		"bare entity":  "<svg>\n&nothing;</svg>",
		"control rune": "<svg>\n<g id=\"\x01\"/></svg>",
	} {
		l, f := readDrawing(t, data)
		if l != nil || !has(f, "broken-xml", fault.Error) || f[0].Line == 0 {
			t.Errorf("%s: %v", name, f)
		}
	}
}

func TestReadingStopsWhenItIsTold(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	for name, data := range map[string]string{"SVG": page(strings.Repeat(`<path d="M0 0h9v9z"/>`, 9000)), "PDF": onePage("", strings.Repeat(square+" ", 9000), nil).table()} {
		if r, f := drawing.Parse(ctx, []byte(data), plain.Of(name), 0); r != nil || !has(f, "stopped", fault.Error) {
			t.Errorf("%s: %v", name, f)
		}
	}
}

func BenchmarkHostileSVG(b *testing.B) {
	for name, c := range hostileSVG() {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				drawing.Parse(context.Background(), []byte(c.data), plain.Text{}, 0)
			}
		})
	}
}
