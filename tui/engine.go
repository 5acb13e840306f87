package tui

// RealEngine is the planner and the presets.
func RealEngine() Engine { panic("tui: internal: not built yet") }
