package main

import "slices"

// Sorts of commands that help names on one line.
const (
	shopOwn = "of the shop"
	itself  = "of the program"
)

// option is one option of a command. Help, completion and the man page are
// made from it, and the parser knows no other.
type option struct {
	name string   // without dashes; one letter takes one dash
	arg  string   // what follows it; "" for a switch
	what string   // for a person, without a full stop
	must bool     // the call needs it
	many bool     // may be given more than once
	of   []string // values to offer in a shell
	ends string   // endings of the files to offer in a shell: "toml nc"
}

// command is one sub-command: the only description of it.
type command struct {
	name    string
	operand string // as help shows it; "" takes none
	ends    string // endings of the files that an operand may have
	of      []string
	what    string // one line, without a full stop
	more    string // for the man page: sentences
	aside   string // help names it only, beside others of one sort
	options []option
	run     func(w world, f flags) error
}

// endings of the files that the program reads.
const (
	jobEnds     = "toml"
	drawingEnds = "dxf svg pdf"
	programEnds = "nc"
)

var (
	asJSON     = option{name: "json", what: "print JSON for a script instead of a table"}
	atCut      = option{name: "at", arg: "CUT", what: "the first cut that was not begun, by its number in the program"}
	ofProgram  = option{name: "program", arg: "N", what: "which of the job's programs --line is of, where the controller takes no more at a time"}
	atLine     = option{name: "line", arg: "N", what: "the line of the program at which the machine stopped"}
	intoFolder = option{name: "o", arg: "DIR", what: "folder for the programs; without it the job's own"}
	unitsOf    = option{name: "units", arg: "U", what: "units of the drawing: mm or inch; without it what the file says", of: []string{"mm", "inch"}}
	pageOf     = option{name: "page", arg: "N", what: "page of a PDF, from 1"}
	ofPlate    = option{name: "plate", arg: "N", what: "the plate that is meant, from 1; without it the first"}
	byLines    = option{name: "lines", what: "ask line by line, for screen readers and plain terminals; TERM=dumb does it too"}
	asciiOnly  = option{name: "ascii", what: "draw with ASCII signs only, whatever the locale says"}
)

// alone is the wizard: what runs if no command is named.
func alone() command {
	return command{
		operand: "[JOB.toml | DRAWING...]", ends: jobEnds + " " + drawingEnds,
		what:    "open the wizard: stock, features, process, checks, save",
		more:    "Opens the full-screen wizard: empty, on one job file, or on drawings for a new job. Every key is shown in place; what is not saved when the line drops is kept as a draft and offered at the next start.",
		options: []option{asciiOnly, byLines},
		run:     wizard,
	}
}

// commands lists every sub-command in the order in which help shows them.
func commands() []command {
	return slices.Concat(jobCommands(), shopCommands(), ownCommands())
}

// jobCommands are those about one job.
func jobCommands() []command {
	return []command{
		{
			name: "inspect", operand: "DRAWING", ends: drawingEnds, run: inspect,
			what: "read a drawing and say what is in it",
			more: "Prints units, closed loops, features with size and kind, open chains and everything that was mended, and a small picture.",
			options: []option{
				unitsOf, pageOf,
				{name: "scale", arg: "FEATURE=LENGTH", what: "true size of one feature, such as p1.h1=12.5", many: true},
				{name: "layer", arg: "NAME", what: "cut only this layer", many: true}, asJSON,
			},
		},
		{
			name: "new", operand: "DRAWING...", ends: drawingEnds, run: newJob,
			what: "make a job from drawings",
			more: "Lengths are in mm unless they end in in. The process comes from the preset for material, thickness and current.",
			options: []option{
				{name: "o", arg: "JOB.toml", what: "the job file to write; one that is there stays", must: true, ends: jobEnds},
				{name: "material", arg: "M", what: "the metal: mild-steel, stainless or aluminium", must: true, of: []string{"mild-steel", "stainless", "aluminium"}},
				{name: "thickness", arg: "T", what: "thickness of the metal", must: true},
				{name: "sheet", arg: "WxH", what: "size of the plate, such as 1000x500 or 48inx24in; may be left out with --blank or --stock", must: true},
				{name: "stock", arg: "NAME|FILE", what: "an offcut instead of a plate: a remnant that was kept, or a drawing of its edge", ends: drawingEnds},
				{name: "disc", arg: "D", what: "a round plate of this diameter instead"},
				{name: "sheets", arg: "N", what: "how many such plates there are; without it one"},
				{name: "turns", arg: "T", what: "how parts may be turned: any, quarter, half or fixed", of: []string{"any", "quarter", "half", "fixed"}},
				{name: "nest", what: "lay the parts out by their true shapes"},
				{name: "apart", what: "lay the parts of each drawing apart, every one for itself, instead of as they are drawn"},
				{name: "trim", arg: "T", what: "cut off what is left of the plate behind the last part: x, y or corner; x=300 or corner=300,200 says where"},
				{name: "share", what: "part straight edges side by side by one cut; rows lay them a kerf apart"},
				{name: "amps", arg: "A", what: "cutting current", must: true},
				{name: "blank", what: "pieces in a fixture: only what lies inside the outline is cut"},
				{name: "quantity", arg: "N", what: "copies of every drawing"},
				{name: "units", arg: "U", what: "units of the drawings and of the job: mm or inch", of: []string{"mm", "inch"}},
				{name: "machine", arg: "PROFILE", what: "machine profile; without it the plain one in mm or inch"},
				{name: "name", arg: "TEXT", what: "name of the job; without it that of the file"},
				{name: "surface", arg: "S", what: "what covers it: bare, mill-scale, galvanised or painted", of: []string{"bare", "mill-scale", "galvanised", "painted"}},
				{name: "gap", arg: "G", what: "room between parts; without it by rule"},
				{name: "margin", arg: "G", what: "room along the plate's edge; without it by rule"},
				pageOf, asJSON,
			},
		},
		{
			name: "plan", operand: "JOB.toml", ends: jobEnds, run: plan,
			what:    "plan, prove and write the programs",
			more:    "Writes the program and its dry run, those of every plate, all or none, and only if every proof passes.",
			options: []option{intoFolder, {name: "take-changed", what: "take drawings that have changed since the job was saved as they are now, and keep those"}, asJSON},
		},
		{
			name: "proof", operand: "JOB.toml [PROGRAM.nc]", ends: jobEnds + " " + programEnds, run: prove,
			what:    "prove a written program against the drawing",
			more:    "Reads the text back and sweeps the kerf over the parts. Without a program it takes the one beside the job, or all where the controller takes no more at a time; one of those is proved together with the others beside it. --at and --line are for a program that resume wrote.",
			options: []option{ofPlate, atCut, atLine, ofProgram, asJSON},
		},
		{
			name: "resume", operand: "JOB.toml", ends: jobEnds, run: resume,
			what:    "write a program that goes on where a cut was lost",
			more:    "Needs --at or --line. What was cut before is left out; the lost cut is taken up before the place where it was lost.",
			options: []option{ofPlate, atCut, atLine, ofProgram, intoFolder, asJSON},
		},
		{
			name: "sheet", operand: "JOB.toml", ends: jobEnds, run: sheet,
			what:    "print the setup sheet",
			more:    "Without --plate it makes one for each plate, with what is to be watched on that plate; the files of further plates are called FILE-plate2 and so on.",
			options: []option{ofPlate, {name: "o", arg: "FILE", what: "write it to FILE.txt, FILE.svg or FILE.html instead", ends: "txt svg html"}},
		},
		{
			name: "nest", operand: "JOB.toml", ends: jobEnds, run: nestJob,
			what: "lay the parts out by their true shapes",
			more: "Writes the places into the job: as few plates as can be, then as little of the last as can be, parts in the cut-outs of others where they fit. The same job, --seed and --rounds give the same places. Parts that are locked stay where they are.",
			options: []option{
				{name: "rounds", arg: "N", what: "how long to search, in thousands of places looked at; without it that of the job, else 15000, some ten seconds"},
				{name: "seed", arg: "N", what: "another start of the search, such as 2: another layout"},
				{name: "sheets", arg: "N", what: "how many such plates there are"},
				{name: "apart", what: "lay the parts of each drawing apart first; places, turns and counts then hold for each part"},
				{name: "clear", what: "take the places back, but for those that are locked"}, asJSON,
			},
		},
		{
			name: "remnant", operand: "[JOB.toml]", ends: jobEnds, run: remnant,
			what: "keep what is left of a plate, or list what is kept",
			more: "With a job and --name it keeps the largest piece of what is left of the plate under that name, further pieces with a letter; without --name it only tells. Without a job it lists the rack. A kept piece is put on the table with new --stock NAME.",
			options: []option{ofPlate,
				{name: "name", arg: "NAME", what: "what is written on the metal"},
				{name: "used", arg: "NAME", what: "that piece is used up"}, asJSON,
			},
		},
		{
			name: "align", operand: "JOB.toml", ends: jobEnds, run: alignJob,
			what: "turn the program to the stock as it lies",
			more: "Give what the position readout shows with the torch over the edge: two points along one edge, far apart, and one on the next edge, that of the zero corner; or two located holes of a part that is drilled already. The job keeps what was typed, and plan turns the program. Without points it says what the job holds.",
			options: []option{
				{name: "edge", arg: "E", what: "the edge that --at lies on: bottom (the default), left, top or right", of: []string{"bottom", "left", "top", "right"}},
				{name: "at", arg: "X,Y", what: "a point on that edge, as read; two or more", many: true},
				{name: "next", arg: "X,Y", what: "a point on the next edge, as read", many: true},
				{name: "hole", arg: "FEATURE=X,Y", what: "the centre of a located hole, as read; two or more", many: true},
				{name: "most", arg: "DEG", what: "turn over which it asks again; without it 3"},
				{name: "sure", what: "a turn over that is meant so"},
				{name: "clear", what: "the stock lies as drawn again"}, asJSON,
			},
		},
		{
			name: "edit", operand: "JOB.toml", ends: jobEnds, run: editJob,
			what: "change a part or a feature, or take a change back",
			more: "Each call makes one edit, shows the sizes before and after and keeps it as a line in the job; the drawing's own file is never changed. Edits are made in their order; without one the job's are listed with their numbers. A size that is typed goes before the corrections of its part, so that they act on it too. The proof makes the edits by itself and compares. Lengths are in the job's units.",
			options: []option{
				{name: "turn", arg: "PART=DEG", what: "turn a part counter-clockwise about its middle"},
				{name: "mirror", arg: "PART", what: "left for right; needs --other-hand and --sure"},
				{name: "other-hand", what: "of --mirror: the other hand is wanted"},
				{name: "sure", what: "of --mirror: asked again, it is"},
				{name: "scale", arg: "PART=FACTOR", what: "true size over drawn size"},
				{name: "correct", arg: "PART", what: "so that a part that was cut and measured comes out as drawn; with --x, --y or both"},
				{name: "x", arg: "DRAWN,MEASURED", what: "of --correct: a size along X"},
				{name: "y", arg: "DRAWN,MEASURED", what: "of --correct: a size along Y"},
				{name: "diameter", arg: "FEATURE=D", what: "of a hole"},
				{name: "length", arg: "FEATURE=L", what: "of a slot, overall"},
				{name: "move", arg: "FEATURE=X,Y", what: "move a feature by so much"},
				{name: "delete", arg: "FEATURE", what: "as if it were not drawn"},
				{name: "hole", arg: "PART=X,Y,D", what: "add a hole, its middle at X, Y of the drawing as it then lies"},
				{name: "slot", arg: "PART=X,Y,L,W[,DEG]", what: "add a slot, its length turned from X"},
				{name: "note", arg: "TEXT", what: "why, for whoever opens the job next"},
				{name: "back", arg: "N", what: "take edit N back"},
				{name: "clear", what: "take all edits back"}, asJSON,
			},
		},
		{
			name: "mark", operand: "JOB.toml", ends: jobEnds, run: mark,
			what: "mark a text, and say what is marked",
			more: "A text is marked before the cuts in letters of single strokes, by a process of its own; without one in the job, starting values are taken. {job}, {part} and {count} stand for the job's name, the part's name and the number of the copy. Lines on a mark layer are marked by the same process.",
			options: []option{
				{name: "text", arg: "TEXT", what: "add this text"},
				{name: "at", arg: "X,Y", what: "lower left of its first letter"},
				{name: "height", arg: "H", what: "of its capitals; without it 10 mm"},
				{name: "angle", arg: "DEG", what: "turned counter-clockwise from X"},
				{name: "drawing", arg: "N", what: "on every copy of drawing N, from 1 (the default); 0 is the stock, for scrap"},
				{name: "process", what: "take a starting process for marks, for lines on mark layers"},
				{name: "clear", what: "take all texts back"}, asJSON,
			},
		},
		{
			name: "pieces", operand: "JOB.toml", ends: jobEnds, run: pieces,
			what:    "tell or set how many blanks are cut",
			options: []option{{name: "done", arg: "N", what: "so many are cut; 0 begins another lot"}, asJSON},
		},
	}
}

// ownCommands are those about the program itself.
func ownCommands() []command {
	return []command{
		{
			name: "demo", operand: "[FOLDER]", run: demo,
			what:    "open the wizard on the demo job; without a terminal, plan it",
			options: []option{asciiOnly, byLines},
		},
		{
			name: "terminal", run: terminal, aside: itself,
			what:    "say what was found of the terminal",
			more:    "Prints size, colours, how wide signs are drawn and how fast the terminal answers. It writes a few signs, asks where the cursor is, and cleans the line again.",
			options: []option{{name: "keys", what: "show what every key sends, until q"}, asJSON},
		},
		{
			name: "completion", operand: "bash|zsh|fish", of: []string{"bash", "zsh", "fish"}, run: completion, aside: itself,
			what: "print the completion for a shell",
			more: "For bash: kerfwright completion bash > ~/.local/share/bash-completion/completions/kerfwright. For zsh: into a file _kerfwright on the fpath. For fish: into ~/.config/fish/completions/kerfwright.fish.",
		},
		{
			name: "man", run: man, aside: itself,
			what: "print the manual page; to read it: kerfwright man | man -l -",
		},
		{name: "version", run: showVersion, aside: itself, what: "print version and revision"},
		{name: "help", operand: "[COMMAND]", run: help, aside: itself, what: "print this, or all of one command"},
	}
}

// find returns the command of a name.
func find(name string) (command, bool) {
	for _, c := range commands() {
		if c.name == name {
			return c, true
		}
	}
	return command{}, false
}

// dashed is how an option is written.
func (o option) dashed() string {
	if len(o.name) == 1 {
		return "-" + o.name
	}
	return "--" + o.name
}

// usage is an option as it stands in a line of usage.
func (o option) usage() string {
	s := o.dashed()
	if o.arg != "" {
		s += " " + o.arg
	}
	if !o.must {
		s = "[" + s + "]"
	}
	if o.many {
		s += "..."
	}
	return s
}
