package tui

import tea "github.com/charmbracelet/bubbletea"

// undoDepth is how many edits can be taken back.
const undoDepth = 200

// change edits the draft: the only way in which the job changes.
func (m *Model) change(f func(*Draft)) tea.Cmd {
	next := m.d.edit(f)
	m.undo = append(m.undo, m.d)
	if len(m.undo) > undoDepth {
		m.undo = m.undo[1:]
	}
	m.redo = nil
	return m.take(next)
}

// take makes next the draft and sets going what it needs.
func (m *Model) take(next *Draft) tea.Cmd {
	old := m.d
	next.Saved = m.onDisk != nil && sameFiles(m.onDisk, next)
	m.d = next
	m.holder.publish(next)
	var cmd tea.Cmd
	if !samePlan(old.Job, next.Job) || old.Dir != next.Dir || len(next.Job.Drawings) > 0 && !m.res.read && m.res.busy == "" {
		cmd = m.restart()
	}
	m.refresh()
	if old.Prices != next.Prices {
		cmd = tea.Batch(cmd, m.keepPrices())
	}
	return tea.Batch(cmd, m.keepDraft())
}

func (m *Model) unedit() (bool, tea.Cmd) { return m.swap(&m.undo, &m.redo) }
func (m *Model) reedit() (bool, tea.Cmd) { return m.swap(&m.redo, &m.undo) }

func (m *Model) swap(from, to *[]*Draft) (bool, tea.Cmd) {
	n := len(*from)
	if n == 0 {
		return false, nil
	}
	next := *(*from)[n-1]
	*from = (*from)[:n-1]
	*to = append(*to, m.d)
	next.Gen, next.Stage = m.d.Gen+1, m.d.Stage
	return true, m.take(&next)
}
