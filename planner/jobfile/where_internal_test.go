package jobfile

import (
	"slices"
	"strings"
	"testing"

	"github.com/BurntSushi/toml"
)

// paths lists every key below n, as the library's MetaData.Keys does: without
// the places of items, once for each time it stands in the text.
func (n *node) paths(prefix toml.Key, out *[]string) {
	for key, kid := range n.keys {
		at := append(slices.Clone(prefix), key)
		if !kid.list {
			*out = append(*out, at.String())
		}
		kid.below(at, out)
	}
}

func (n *node) below(at toml.Key, out *[]string) {
	n.paths(at, out)
	for _, item := range n.items {
		if n.list {
			*out = append(*out, at.String())
		}
		item.below(at, out)
	}
}

// keysOf are the keys that the library found, with the tables that it makes
// by itself.
func keysOf(md toml.MetaData) []string {
	var all []string
	for _, k := range md.Keys() {
		all = append(all, k.String())
	}
	return all
}

var oddTexts = []string{
	"a = 1\n[b]\nc.d = 2\nc.e = { f = 3, g.h = 4 }\n",
	"[[a]]\nb = 1\n[[a]]\nb = 2\n[a.c]\nd = 3\n[[a.e]]\nf = 1\n[[a.e]]\nf = 2\n",
	"\"x y\".'z\"'.\"\\u00e9\\n\" = 1\n",
	"s = \"a # b\" # c = 1\nt = 'x = 2'\nu = \"\"\"\nv = 3\n\"\"\"\"\"\nw = '''\n[q]\n''''\n",
	"a = [\n 1, # one\n [2, 3], # [4]\n { b = \"]\", c = [ { d = 1 } ] },\n]\nz = 0\n",
	"a = 1979-05-27 07:32:00\nb = +1_000.5e-3\nc = false\n",
	"e = \"\\\\\"\nf = \"\\\"\"\ng = ''\nh = \"\"\ni = \"\"\"\\\"\"\"\"\nj = 1",
	"a.b.c = 1\na.b.d = 2\n[x.y]\n[x]\nz = 1\n",
	"\ufeffa = 1\r\n[b]\r\nc = '''\r\nd'''\r\n",
	"a = {\n  b = 1,\n  c = 2,\n}\nd = 3\n",
	"",
	"# only a comment",
}

func TestScanFindsTheKeysThatTheLibraryFinds(t *testing.T) {
	for _, text := range oddTexts {
		compare(t, text)
	}
}

// compare holds scan to the library: the same keys, and none missing.
func compare(t *testing.T, text string) {
	values := map[string]any{}
	md, err := toml.Decode(text, &values)
	root, deep, twice := scan(text)
	if err != nil || deep != nil || twice != nil {
		return
	}
	var got []string
	root.paths(nil, &got)
	seen := map[string]bool{}
	for _, k := range got {
		seen[k] = true
	}
	want := keysOf(md)
	for _, k := range want {
		if !seen[k] {
			t.Fatalf("%q: the library knows %s, scan does not: %v", text, k, got)
		}
	}
	check(t, text, root, values)
}

// check walks the library's values and the scanned places together.
func check(t *testing.T, text string, n *node, value any) {
	if n == nil {
		t.Fatalf("%q: no place for %v", text, value)
	}
	if n.line < 1 || n.col < 1 || n.line > strings.Count(text, "\n")+1 {
		t.Fatalf("%q: impossible place %d:%d", text, n.line, n.col)
	}
	switch v := value.(type) {
	case map[string]any:
		if len(v) != len(n.keys) {
			t.Fatalf("%q: %d keys scanned, the library has %v", text, len(n.keys), v)
		}
		for key, x := range v {
			check(t, text, n.key(key), x)
		}
	case []map[string]any:
		if len(v) != len(n.items) {
			t.Fatalf("%q: %d items scanned, the library has %v", text, len(n.items), v)
		}
		for i, x := range v {
			check(t, text, n.item(i), x)
		}
	case []any:
		if len(v) != len(n.items) {
			t.Fatalf("%q: %d items scanned, the library has %v", text, len(n.items), v)
		}
		for i, x := range v {
			check(t, text, n.item(i), x)
		}
	}
}

func TestScanPlacesKeysInRunes(t *testing.T) {
	root, _, _ := scan("a = 1\n  \"é\" = [ 'ß', 2 ] # x\n[ t ]\nu.v = { w = 3 }\n")
	for _, row := range []struct {
		n         *node
		line, col int
		raw       string
	}{
		{root.key("a"), 1, 1, "1"},
		{root.key("é"), 2, 3, "[ 'ß', 2 ]"},
		{root.key("é").item(0), 2, 11, "'ß'"},
		{root.key("é").item(1), 2, 16, "2"},
		{root.key("t"), 3, 1, ""},
		{root.key("t").key("u").key("v"), 4, 1, "{ w = 3 }"},
		{root.key("t").key("u").key("v").key("w"), 4, 9, "3"},
	} {
		if row.n == nil || row.n.line != row.line || row.n.col != row.col || row.n.raw != row.raw {
			t.Errorf("got %+v, want %d:%d %q", row.n, row.line, row.col, row.raw)
		}
	}
}

func FuzzScan(f *testing.F) {
	for _, text := range oddTexts {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) { compare(t, text) })
}
