// Package rs274 reads programs in the language of NISTIR 6556 (T. R. Kramer,
// F. M. Proctor, E. Messina: The NIST RS274NGC Interpreter - Version 3, 2000).
// Text comes in; the moves that it makes a machine do go out, each with its
// line, in mm. It shares nothing with the package that writes programs, and
// imports only fault. It never guesses: what the standard or the machine
// leaves open is a fault that names the line.
package rs274

// Dialect lists what a controller takes beyond the standard. The zero value
// is the standard and nothing else.
type Dialect struct {
	Words             []Word // further G and M codes
	ArcModes          bool   // G90.1 and G91.1: absolute and incremental arc centres
	AbsoluteCentres   bool   // arc centres are absolute until the program says otherwise
	PathTolerance     bool   // G64 takes P
	ExactPath         bool   // a template says G61 or G61.1
	SemicolonComments bool   // ; starts a comment to the end of the line
	DeleteSlashed     bool   // lines that begin with / are skipped
}

// Word is one further code and the letters that may stand with it.
type Word struct {
	Letter  byte   // 'G' or 'M'
	Tenths  int    // the code times ten: M64 is 640
	Letters string // argument letters, such as "PQ"
}
