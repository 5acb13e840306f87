package drawing

import (
	"fmt"
	"strings"
)

// layerGuess is what is thought of one layer before anything is joined.
type layerGuess struct {
	use    use
	why    string
	said   bool // the operator's word
	hidden bool // left out as the file has it
}

// Words in a layer's name that say what it is for, in English, German, French,
// Spanish and Italian; common practice, no source. A name counts by whole
// words, so that DIMPLE and TEXTURE stay what they are.
var (
	ignoreWords = words("dim dims dimension dimensions bemassung masse cotes cota cotas quote text texte texto testo note notes annotation annotations " +
		"title titleblock titel viewport viewports construction construct konstruktion hilfslinien aux centerline centreline " +
		"centerlines centrelines mittellinie mittellinien hidden verdeckt phantom hatch schraffur defpoints guide guides")
	// Weak words say so only of a layer without a closed figure.
	weakWords = words("center centre axes axis achsen axe border frame rahmen cadre reference ref")
	markWords = words("mark marks marking etch etching engrave engraving scribe score punch markierung gravur gravure marquage marcado incisione bend bends bendline " +
		"bendlines bending biegelinie biegelinien biegung pliage pliegue piega fold folds")
)

func words(s string) map[string]bool {
	m := map[string]bool{}
	for _, w := range strings.Fields(s) {
		m[w] = true
	}
	return m
}

// nameHint returns the first word of the name that says something; figures
// says that the layer holds closed ones.
func nameHint(name string, figures bool) (u use, word string) {
	for _, w := range strings.FieldsFunc(strings.ToLower(name), func(r rune) bool {
		return strings.ContainsRune(" _-.,;:/|$+#()[]0123456789", r)
	}) {
		switch {
		case ignoreWords[w]:
			return useIgnore, w
		case markWords[w]:
			return useMark, w
		case weakWords[w] && !figures:
			return useIgnore, w
		}
	}
	return useCut, ""
}

// guessLayers decides for every layer from the operator's words, then from
// what the file says, the name, and how things are drawn.
func (h *healer) guessLayers(o Options) {
	r := h.r
	type content struct{ all, dash, center, closed int }
	has := make([]content, len(r.Layers))
	for i := range r.items {
		it := &r.items[i]
		c := &has[it.layer]
		if it.n == 1 && !it.closed {
			continue
		}
		c.all++
		if it.closed {
			c.closed++
		}
		s := r.Styles[it.style]
		if s.Dash {
			c.dash++
		}
		if s.Center {
			c.center++
		}
	}
	h.layers = make([]layerGuess, len(r.Layers))
	for i, l := range r.Layers {
		g := &h.layers[i]
		named, word := nameHint(l.Name.String(), has[i].closed > 0)
		switch c := has[i]; {
		case l.Hidden:
			g.use, g.hidden, g.why = useIgnore, true, "the layer is "+orElse(l.Why, "hidden")+" in the file"
		case l.NoPlot:
			g.use, g.why = useIgnore, "the layer is not to be printed"
		case word != "" && named == useIgnore:
			g.use, g.why = useIgnore, fmt.Sprintf("its name holds %q", word)
		case word != "":
			g.use, g.why = named, fmt.Sprintf("its name holds %q", word)
		case c.all > 0 && c.center == c.all:
			g.use, g.why = useIgnore, "all of it is drawn as centre lines"
		case c.all > 0 && c.dash == c.all:
			g.use, g.why = useIgnore, "all of it is drawn in broken lines"
		case l.Guess != "":
			g.use, g.why = useOf(l.Guess), l.GuessWhy
		case c.all == 0:
			g.use, g.why = useCut, "nothing on it can be cut"
		}
		for _, said := range o.Layers {
			if foldName(said.Name.String()) == foldName(l.Name.String()) {
				*g = layerGuess{use: useOf(said.Use), why: "you said so", said: true}
			}
		}
	}
}

func orElse(s, other string) string {
	if s == "" {
		return other
	}
	return s
}

// layerInfo lists the layers that hold or declare something.
func (h *healer) layerInfo(out *Loops) []LayerInfo {
	r := h.r
	count := h.counts
	var closed, open = map[string]int{}, map[string]int{}
	for _, l := range out.Closed {
		closed[l.Layer.String()]++
	}
	for _, l := range out.Open {
		open[l.Layer.String()]++
	}
	var infos []LayerInfo
	for i, l := range r.Layers {
		g := h.layers[i]
		if count[i] == 0 && !g.said && !h.noted(int32(i)) {
			continue
		}
		why := g.why
		if why == "" {
			name := l.Name.String()
			why = fmt.Sprintf("it holds %d closed %s", closed[name], plural(closed[name], "loop", "loops"))
			if open[name] > 0 {
				why += fmt.Sprintf(" and %d open %s", open[name], plural(open[name], "line", "lines"))
			}
			if closed[name]+open[name] == 0 {
				why = "its pieces belong to loops that begin on other layers"
			}
		}
		infos = append(infos, LayerInfo{Name: l.Name, Entities: count[i], Hidden: g.hidden, Use: g.use.job(), Why: why})
	}
	return infos
}

// noted reports whether the reader left something out on the layer.
func (h *healer) noted(layer int32) bool {
	for _, n := range h.r.notes {
		if n.layer == layer && n.typ != "" {
			return true
		}
	}
	return false
}

// left reports whether the layer is left out.
func (h *healer) left(layer int32) bool { return h.layers[layer].use == useIgnore }

// inUse reports whether an item is to be joined: shown, and on a layer that is
// cut or marked.
func (h *healer) inUse(it *item) bool { return !it.hidden && !h.left(it.layer) }
