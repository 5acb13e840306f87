package job

// Every list is in the order in which its words are offered.

// Holds lists every Hold.
func Holds() []Hold { return []Hold{Plate, Blank} }

// LayerUses lists every LayerUse.
func LayerUses() []LayerUse { return []LayerUse{LayerCut, LayerMark, LayerIgnore} }

// States lists every State.
func States() []State { return []State{Starting, Tried, Proved} }

// Trust orders states: a higher one has seen more metal. An unknown word
// counts as Starting.
func (s State) Trust() int {
	switch s {
	case Tried:
		return 1
	case Proved:
		return 2
	}
	return 0
}

// DrillActions lists every DrillAction.
func DrillActions() []DrillAction { return []DrillAction{DrillLeave, DrillPop, DrillRefuse} }

// HeightControls lists every HeightControl.
func HeightControls() []HeightControl { return []HeightControl{ControlWithHolds, ControlOff} }

// Groupings lists every Grouping.
func Groupings() []Grouping { return []Grouping{GroupNone, GroupPart, GroupHoles} }

// Turns lists every Turn.
func Turns() []Turn { return []Turn{OutlineClockwise, OutlineCounterClockwise} }

// ArcForms lists every ArcForm.
func ArcForms() []ArcForm { return []ArcForm{ArcsFromStart, ArcsAbsolute, ArcsNone} }

// LineEnds lists every way to end a line of a program.
func LineEnds() []string { return []string{"lf", "crlf"} }

// Kinds lists what an Override may call a feature: the names of package
// feature, which a test of package jobfile holds to.
func Kinds() []string { return []string{"outline", "hole", "slot", "cut-out", "mark"} }

// FeatureRules lists the rules that an Override may choose: the names of
// package feature, which a test of package jobfile holds to.
func FeatureRules() []string {
	return []string{"outline", "inside", "slow-hole", "drill", "mark", "locate", "leave", "refuse"}
}
