package jobfile

import (
	"fmt"
	"strings"

	"example.org/kerfwright/planner/keep"
)

// Copies of drawings are blocks: base64 text in lines, between lines of three
// quotes. A block is no text to be looked at, and takes the readers next to
// no time, so that it counts by itself.

// MaxJob is the most bytes of a job file that are read: MaxSize, and the
// copies of its drawings.
const MaxJob = MaxSize + keep.MaxText + keep.MaxText/blockLine + 1

const (
	blockLine = 100 // characters of a line; fits any editor
	blockOpen = "text = '''"
	blockShut = "'''"
)

// Block reads or writes base64 text that has to be there, of at most some
// characters, in lines.
func (f *Form) Block(key string, v *string, most int) {
	if f.out != nil {
		if why := badBlock(*v, most); why != "" {
			f.fault(key, "job-text", "", "%s", why)
			return
		}
		var b strings.Builder
		b.WriteString("'''\n")
		for s := *v; s != ""; {
			n := min(blockLine, len(s))
			b.WriteString(s[:n] + "\n")
			s = s[n:]
		}
		b.WriteString(blockShut)
		f.out.set(key, b.String(), "")
		return
	}
	raw, ok := f.in.get(key)
	if !ok {
		f.Missing(key)
		return
	}
	s, isText := raw.(string)
	if !isText {
		f.fault(key, "job-type", "", "must be text in quotes")
		return
	}
	s = strings.NewReplacer("\n", "", "\r", "", " ", "", "\t", "").Replace(s)
	if why := badBlock(s, most); why != "" {
		f.fault(key, "job-text", "Remove the table: the drawing must then lie beside the job.", "%s", why)
		return
	}
	*v = s
}

func badBlock(s string, most int) string {
	switch {
	case s == "":
		return "must not be empty"
	case len(s) > most:
		return fmt.Sprintf("must be at most %d characters long, has %d", most, len(s))
	}
	for i := range len(s) {
		if !base64Rune(s[i]) && (s[i] != '=' || i < len(s)-2) {
			return fmt.Sprintf("must be base64 text: character %d of it is none", i+1)
		}
	}
	return ""
}

func base64Rune(c byte) bool {
	return c >= 'A' && c <= 'Z' || c >= 'a' && c <= 'z' || c >= '0' && c <= '9' || c == '+' || c == '/'
}

// blocks counts the bytes of a text that lie in blocks. What it takes for one
// holds no more than the characters of base64, and none that could be a key
// with a value, wherever it stands.
func blocks(text string) int {
	n := 0
	for {
		at := strings.Index(text, blockOpen)
		if at < 0 {
			return n
		}
		begins := at == 0 || text[at-1] == '\n'
		text = text[at+len(blockOpen):]
		end := 0
		for end < len(text) && (base64Rune(text[end]) || text[end] == '\n' || text[end] == '\r') {
			end++
		}
		pad := strings.TrimLeft(text[end:min(len(text), end+2)], "=") + text[min(len(text), end+2):]
		pad = strings.TrimPrefix(strings.TrimPrefix(pad, "\r"), "\n")
		if begins && strings.HasPrefix(pad, blockShut) {
			n += end
		}
		text = text[end:]
	}
}
