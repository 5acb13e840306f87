package main

import (
	"fmt"
	"io"
	"strings"

	"example.org/kerfwright/planner/plain"
)

// helpWidth and helpLines are the smallest screen: help fits it.
const (
	helpWidth = 80
	helpLines = 24
)

// exitCodes are told by help and the man page alike.
var exitCodes = []struct{ code, what, more string }{
	{"0", "good", ""},
	{"1", "the job, drawing or program is bad", "the reasons are on standard error, the worst first"},
	{"2", "wrong usage", "or no terminal for the wizard"},
	{"128+n", "ended by signal n", "unsaved work is kept as a draft"},
}

// caution stands at the end of help and of the man page.
const caution = "Cutting burns, blinds, gases and electrocutes. Local codes, the machine's manual and qualified people come before anything this program says."

// help prints the commands, or all of one of them.
func help(w world, f flags) error {
	if len(f.rest) > 1 {
		return usagef("help takes one command")
	}
	if len(f.rest) == 1 && f.rest[0] != "" {
		c, ok := find(f.rest[0])
		if !ok {
			return usagef("no command %q; there are %s", plain.Clean(f.rest[0]), names(commands()))
		}
		_, err := io.WriteString(w.out, helpOf(c))
		return err
	}
	_, err := io.WriteString(w.out, overview())
	return err
}

// overview is every command on a line, to fit a screen.
func overview() string {
	var b strings.Builder
	b.WriteString("Kerfwright sets up cutting jobs for a plasma table and proves the programs.\n\n")
	b.WriteString("kerfwright " + alone().operand + " [--ascii] [--lines]   the wizard\n")
	width := 0
	for _, c := range commands() {
		if c.aside == "" {
			width = max(width, len(c.call()))
		}
	}
	for _, c := range commands() {
		if c.aside == "" {
			fmt.Fprintf(&b, "  %-*s %s\n", width, c.call(), cut(c.what, helpWidth-width-4))
		}
	}
	for _, sort := range []string{shopOwn, itself} {
		var of []command
		for _, c := range commands() {
			if c.aside == sort {
				of = append(of, c)
			}
		}
		fmt.Fprintf(&b, "  %s: %s\n", sort, names(of))
	}
	b.WriteString("kerfwright help COMMAND tells all of a command.\n")
	var codes []string
	for _, e := range exitCodes {
		codes = append(codes, e.code+" "+e.what)
	}
	b.WriteString(wrapped("Exit codes: "+strings.Join(codes, "; ")+".", helpWidth, "") + wrapped(caution, helpWidth, ""))
	return b.String()
}

// call is a command with its operand.
func (c command) call() string { return strings.TrimSpace(c.name + " " + c.operand) }

// cut shortens what explains to what fits a line: the part before a semicolon
// or a comma.
func cut(s string, room int) string {
	for _, at := range []string{";", ","} {
		if len(s) > room {
			s, _, _ = strings.Cut(s, at)
		}
	}
	return s
}

// helpOf is all that is known of one command.
func helpOf(c command) string {
	var b strings.Builder
	words := []string{strings.TrimSpace("kerfwright " + c.call())}
	for _, o := range c.options {
		words = append(words, o.usage())
	}
	b.WriteString(hanging(words, helpWidth, "", "        "))
	b.WriteString("\n" + wrapped(sentence(c.what), helpWidth, ""))
	if c.more != "" {
		b.WriteString(wrapped(c.more, helpWidth, ""))
	}
	if len(c.options) > 0 {
		b.WriteString("\n")
	}
	for _, o := range c.options {
		name := strings.TrimSpace(o.dashed() + " " + o.arg)
		text := wrapped(o.what, helpWidth, strings.Repeat(" ", 25))
		fmt.Fprintf(&b, "  %-22s %s", name, strings.TrimLeft(text, " "))
	}
	return b.String()
}

// sentence makes a sentence of a line without a full stop.
func sentence(s string) string { return strings.ToUpper(s[:1]) + s[1:] + "." }

// wrapped breaks a text into lines that each begin with indent.
func wrapped(s string, width int, indent string) string {
	return hanging(strings.Fields(s), width, indent, indent)
}

// hanging sets words into lines: the first begins with first, all others with
// indent.
func hanging(words []string, width int, first, indent string) string {
	var b strings.Builder
	b.WriteString(first)
	n := len(first)
	for i, word := range words {
		switch {
		case i == 0:
		case n+1+len(word) > width:
			b.WriteString("\n" + indent)
			n = len(indent)
		default:
			b.WriteString(" ")
			n++
		}
		b.WriteString(word)
		n += len(word)
	}
	b.WriteString("\n")
	return b.String()
}

// forScripts names the commands that need no terminal.
func forScripts() string {
	var of []command
	for _, c := range commands() {
		if c.aside != itself && c.name != "demo" {
			of = append(of, c)
		}
	}
	return names(of) + " (kerfwright help)"
}

func names(of []command) string {
	all := make([]string, len(of))
	for i, c := range of {
		all[i] = c.name
	}
	return strings.Join(all, ", ")
}
