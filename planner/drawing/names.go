package drawing

import "strings"

// foldName is the key under which names are equal: DXF symbol names ignore case.
func foldName(s string) string { return strings.ToUpper(strings.TrimSpace(s)) }
