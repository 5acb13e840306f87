package main

import (
	"fmt"
	"io"
	"strings"
)

// environment is what the program heeds, for the man page.
var environment = []struct{ name, what string }{
	{"NO_COLOR", "if set and not empty, nothing is drawn in colour."},
	{"TERM", "a terminal without a cursor (dumb) gets no wizard; the commands work."},
	{"LC_ALL, LC_CTYPE, LANG", "the first that is set decides whether more than ASCII is drawn; a locale without UTF-8 gets ASCII."},
	{"XDG_CONFIG_HOME", "where the shop's own presets and profiles lie, in kerfwright; without it ~/.config."},
	{"XDG_STATE_HOME", "where drafts are kept, in kerfwright; without it ~/.local/state."},
}

// files are those that the program reads and writes, for the man page.
var files = []struct{ name, what string }{
	{"JOB.toml", "the job: all that a person decided, with the SHA-256 of the programs saved with it."},
	{"JOB.nc, JOB-dry.nc", "the program and its dry run, with the ending that the machine profile asks for."},
}

// examples are for the man page.
var examples = []struct{ call, what string }{
	{"kerfwright hinge.dxf", "sets up a job for a drawing, step by step."},
	{"kerfwright new hinge.dxf -o hinge.toml --material mild-steel --thickness 6 --sheet 1000x500 --amps 45", "makes the job in one call."},
	{"kerfwright plan hinge.toml --json", "writes the programs and says what they take."},
	{"kerfwright proof hinge.toml", "proves the program beside the job once more before it is run."},
}

// man prints the manual page, made from the texts of help.
func man(w world, f flags) error {
	if len(f.rest) > 0 {
		return usagef("man takes no operand")
	}
	_, err := io.WriteString(w.out, manPage())
	return err
}

// manPage is the page in the man macros (groff_man(7)).
func manPage() string {
	var b strings.Builder
	head := func(s string) { b.WriteString(".SH " + s + "\n") }
	tagged := func(tag, text string) { b.WriteString(".TP\n" + tag + "\n" + roff(text) + "\n") }
	fmt.Fprintf(&b, ".TH KERFWRIGHT 1 \"\" \"kerfwright %s\" \"User commands\"\n", roff(release()))
	head("NAME")
	b.WriteString("kerfwright \\- set up cutting jobs for a plasma table and prove the programs\n")
	head("SYNOPSIS")
	for _, c := range append([]command{alone()}, commands()...) {
		synopsis(&b, c)
	}
	head("DESCRIPTION")
	b.WriteString(roff(sentence(alone().what)+" "+alone().more) + "\n.PP\n" +
		roff("With a command it does one step for a script. Options may follow operands; -- ends the options. Without --json each command prints a table for people. Standard output never holds an escape sequence when it is not a terminal.") + "\n")
	head("COMMANDS")
	for _, c := range append([]command{alone()}, commands()...) {
		fmt.Fprintf(&b, ".SS %s\n", roff(`"`+strings.TrimSpace("kerfwright "+c.call())+`"`))
		b.WriteString(roff(sentence(c.what)+" "+c.more) + "\n")
		for _, o := range c.options {
			tag := `\fB` + roff(o.dashed()) + `\fR`
			if o.arg != "" {
				tag += ` \fI` + roff(o.arg) + `\fR`
			}
			text := sentence(o.what)
			if o.must {
				text += " Needed."
			}
			if o.many {
				text += " May be given more than once."
			}
			tagged(tag, text)
		}
	}
	head("EXIT STATUS")
	for _, e := range exitCodes {
		text := sentence(e.what)
		if e.more != "" {
			text = sentence(e.what + ": " + e.more)
		}
		tagged(`\fB`+roff(e.code)+`\fR`, text)
	}
	head("ENVIRONMENT")
	for _, e := range environment {
		tagged(`\fB`+roff(e.name)+`\fR`, sentence(strings.TrimSuffix(e.what, ".")))
	}
	head("FILES")
	for _, e := range files {
		tagged(`\fI`+roff(e.name)+`\fR`, sentence(strings.TrimSuffix(e.what, ".")))
	}
	head("EXAMPLES")
	for _, e := range examples {
		b.WriteString(".PP\n.nf\n.RS 4\n" + roff(e.call) + "\n.RE\n.fi\n.PP\n" + roff(sentence(strings.TrimSuffix(e.what, "."))) + "\n")
	}
	head("SAFETY")
	b.WriteString(roff(caution) + "\n")
	return b.String()
}

// synopsis writes the line of one command.
func synopsis(b *strings.Builder, c command) {
	b.WriteString(".PP\n" + `\fBkerfwright` + strings.TrimRight(" "+roff(c.name), " ") + `\fR`)
	if c.operand != "" {
		b.WriteString(` \fI` + roff(c.operand) + `\fR`)
	}
	for _, o := range c.options {
		b.WriteString(" " + strings.ReplaceAll(roff(o.usage()), " ", `\~`))
	}
	b.WriteString("\n")
}

// roff makes text harmless in a page: no sign of it is a request or an escape.
func roff(s string) string {
	s = strings.NewReplacer(`\`, `\e`, "-", `\-`, "~", `\(ti`, "^", `\(ha`).Replace(s)
	if strings.HasPrefix(s, ".") || strings.HasPrefix(s, "'") {
		s = `\&` + s
	}
	return s
}

// release is the first word of the version.
func release() string {
	r, _, _ := strings.Cut(version(), ",")
	return r
}
