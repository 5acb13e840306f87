package main

import (
	"fmt"
	"io"
	"strings"
)

// completion prints what a shell needs to complete commands, options and file
// names, made from the table of commands.
func completion(w world, f flags) error {
	made := map[string]func() string{"bash": forBash, "zsh": forZsh, "fish": forFish}
	if len(f.rest) != 1 || made[f.rest[0]] == nil {
		return usagef("completion takes one of: bash, zsh, fish")
	}
	_, err := io.WriteString(w.out, made[f.rest[0]]())
	return err
}

// offered are the words that may stand where an operand stands.
func (c command) offered() []string {
	if c.name != "help" {
		return c.of
	}
	var all []string
	for _, c := range commands() {
		all = append(all, c.name)
	}
	return all
}

func (c command) dashed() []string {
	all := make([]string, len(c.options))
	for i, o := range c.options {
		all[i] = o.dashed()
	}
	return all
}

func forBash() string {
	var b strings.Builder
	b.WriteString(`# bash completion for kerfwright
_kerfwright_files() { # endings: files that have one, and folders
  local f e
  while IFS= read -r f; do
    if [ -d "$f" ]; then COMPREPLY+=("$f/"); continue; fi
    for e in $1; do
      case $f in *.$e|*.${e^^}) COMPREPLY+=("$f") ;; esac
    done
  done < <(compgen -f -- "$cur")
  compopt -o filenames -o nospace 2>/dev/null
  if [ ${#COMPREPLY[@]} -eq 1 ] && [ ! -d "${COMPREPLY[0]}" ]; then compopt +o nospace 2>/dev/null; fi
}
_kerfwright() {
  local cur=${COMP_WORDS[COMP_CWORD]} prev=${COMP_WORDS[COMP_CWORD-1]} cmd=
  COMPREPLY=()
  [ "$COMP_CWORD" -gt 1 ] && cmd=${COMP_WORDS[1]}
  case $cmd in
`)
	all := commands()
	var wide []string
	for _, c := range all {
		wide = append(wide, c.name)
	}
	fmt.Fprintf(&b, "  %s) ;;\n  *) cmd= ;;\n  esac\n  case \"$cmd $prev\" in\n", strings.Join(wide, "|"))
	for _, c := range append([]command{alone()}, all...) {
		for _, o := range c.options {
			if o.arg == "" {
				continue
			}
			fmt.Fprintf(&b, "  %q) %s; return ;;\n", c.name+" "+o.dashed(), bashValue(o))
		}
	}
	b.WriteString("  esac\n  case $cmd in\n")
	for _, c := range all {
		fmt.Fprintf(&b, "  %s) %s ;;\n", c.name, bashOperand(c, nil))
	}
	b.WriteString("  *)\n    " + bashOperand(alone(), append(wide, "--help", "--version")) + " ;;\n  esac\n}\ncomplete -F _kerfwright kerfwright\n")
	return b.String()
}

func bashValue(o option) string {
	switch {
	case len(o.of) > 0:
		return fmt.Sprintf(`COMPREPLY=($(compgen -W %q -- "$cur"))`, strings.Join(o.of, " "))
	case o.ends != "":
		return fmt.Sprintf("_kerfwright_files %q", o.ends)
	case o.arg == "DIR":
		return `COMPREPLY=($(compgen -d -- "$cur"))`
	}
	return "true"
}

func bashOperand(c command, more []string) string {
	words := append(append(c.offered(), more...), c.dashed()...)
	if c.name != "" {
		words = append(words, "--help")
	}
	line := fmt.Sprintf(`COMPREPLY=($(compgen -W %q -- "$cur"))`, strings.Join(words, " "))
	if c.ends != "" {
		line += fmt.Sprintf("; [ \"${cur:0:1}\" = - ] || _kerfwright_files %q", c.ends)
	}
	return line
}

// shellQuote puts text between single quotes.
func shellQuote(s string) string { return "'" + strings.ReplaceAll(s, "'", `'\''`) + "'" }

func forZsh() string {
	var b strings.Builder
	b.WriteString("#compdef kerfwright\n# zsh completion for kerfwright\n_kerfwright() {\n  local -a commands\n  commands=(\n")
	for _, c := range commands() {
		fmt.Fprintf(&b, "    %s\n", shellQuote(c.name+":"+zshText(c.what)))
	}
	b.WriteString("  )\n  if (( CURRENT == 2 )); then\n    _describe command commands\n    " + zshArguments(alone()) + "\n    return\n  fi\n" +
		"  local cmd=$words[2]\n  case $cmd in\n")
	for _, c := range commands() {
		// Shifted, so that the command is what the options follow.
		fmt.Fprintf(&b, "  %s) shift words; (( CURRENT-- )); %s ;;\n", c.name, zshArguments(c))
	}
	b.WriteString("  *) " + zshArguments(alone()) + " ;;\n  esac\n}\n_kerfwright \"$@\"\n")
	return b.String()
}

func zshText(s string) string { return strings.NewReplacer("[", "(", "]", ")", ":", ",").Replace(s) }

func zshArguments(c command) string {
	parts := []string{"_arguments"}
	for _, o := range c.options {
		spec := o.dashed()
		if o.many {
			spec = "*" + spec
		}
		spec += "[" + zshText(o.what) + "]"
		if o.arg != "" {
			spec += ":" + zshText(o.arg) + ":" + zshValue(o.of, o.ends, o.arg)
		}
		parts = append(parts, shellQuote(spec))
	}
	parts = append(parts, shellQuote("--help[say what it does]"))
	if c.ends != "" || len(c.offered()) > 0 {
		parts = append(parts, shellQuote("*:"+zshText(strings.Trim(c.operand, "[]"))+":"+zshValue(c.offered(), c.ends, "")))
	}
	return strings.Join(parts, " ")
}

func zshValue(of []string, ends, arg string) string {
	switch {
	case len(of) > 0:
		return "(" + strings.Join(of, " ") + ")"
	case ends != "":
		return `_files -g "*.(#i)(` + strings.ReplaceAll(ends, " ", "|") + `)"`
	case arg == "DIR":
		return "_files -/"
	}
	return " "
}

func forFish() string {
	var b strings.Builder
	b.WriteString("# fish completion for kerfwright\ncomplete -c kerfwright -f\n")
	none := "__fish_use_subcommand"
	for _, c := range commands() {
		fmt.Fprintf(&b, "complete -c kerfwright -n %s -a %s -d %s\n", none, c.name, shellQuote(c.what))
	}
	for _, c := range append([]command{alone()}, commands()...) {
		when := shellQuote("__fish_seen_subcommand_from " + c.name)
		if c.name == "" {
			when = none
		}
		for _, o := range c.options {
			flag := "-l " + o.name
			if len(o.name) == 1 {
				flag = "-s " + o.name
			}
			value := ""
			if o.arg != "" {
				value = " -x"
				if v := fishValue(o.of, o.ends, o.arg); v != "" {
					value = " -x -a " + v
				}
			}
			fmt.Fprintf(&b, "complete -c kerfwright -n %s %s%s -d %s\n", when, flag, value, shellQuote(o.what))
		}
		if v := fishValue(c.offered(), c.ends, ""); v != "" {
			fmt.Fprintf(&b, "complete -c kerfwright -n %s -a %s\n", when, v)
		}
	}
	return b.String()
}

func fishValue(of []string, ends, arg string) string {
	switch {
	case len(of) > 0:
		return shellQuote(strings.Join(of, " "))
	case ends != "":
		// fish's own way offers every file, the right ones first.
		return shellQuote(`(__fish_complete_path (commandline -ct) | string match -rei -- '(?:/|\.(?:` + strings.ReplaceAll(ends, " ", "|") + `))(?:\t|$)')`)
	case arg == "DIR":
		return shellQuote("(__fish_complete_directories)")
	}
	return ""
}
