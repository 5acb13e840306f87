package tui

import (
	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"
)

// view is one thing that fills the middle of the screen: a stage of the road,
// or a page laid over it. It draws nothing itself: it says which rows there
// are, and which keys mean something on them.
type view interface {
	id() string
	title(m *Model) string
	list(m *Model) list
	// keys are those of this view, shown before the common ones.
	keys(m *Model, r row) []key.Binding
	// press acts on a key; false if the view has no use for it.
	press(m *Model, k string, r row) (bool, tea.Cmd)
	// wide views leave the plate out where there is little room.
	wide() bool
}

// stage is a step of the wizard's road.
type stage int

const (
	stockStage stage = iota
	featureStage
	processStage
	checkStage
	saveStage
	stages
)

var stageNames = [stages]string{"stock", "features", "process", "checks", "save"}

func (s stage) String() string { return stageNames[s] }

func (s stage) view() view {
	switch s {
	case stockStage:
		return stockView{}
	case featureStage:
		return featuresView{}
	case processStage:
		return processView{}
	case checkStage:
		return checksView{}
	}
	return saveView{}
}

// page is a view with nothing of its own but rows; others embed it.
type page struct{}

func (page) keys(*Model, row) []key.Binding            { return nil }
func (page) press(*Model, string, row) (bool, tea.Cmd) { return false, nil }
func (page) wide() bool                                { return false }
