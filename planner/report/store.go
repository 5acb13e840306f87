package report

import (
	"fmt"
	"io"
	"strconv"
)

// StoreFile is one file of the shop's own store.
type StoreFile struct {
	File     string `json:"file"`
	Versions int    `json:"versions"` // earlier states in its history
	Removed  bool   `json:"removed"`  // only its history is left
}

// StoreList lists the store.
type StoreList struct {
	Folder   string      `json:"folder"`
	Files    []StoreFile `json:"files"`
	Warnings []string    `json:"warnings"`
}

// Table prints the list for a person.
func (r StoreList) Table(w io.Writer) error {
	fmt.Fprintln(w, r.Folder)
	rows := [][]string{{"file", "earlier states", ""}}
	for _, f := range r.Files {
		note := ""
		if f.Removed {
			note = "removed; store undo brings it back"
		}
		rows = append(rows, []string{f.File, strconv.Itoa(f.Versions), note})
	}
	return table(w, rows)
}

// StoreVersion is one earlier state of a file.
type StoreVersion struct {
	N        int    `json:"n"`
	Replaced string `json:"replaced"` // local time
	Bytes    int    `json:"bytes"`
	Change   string `json:"change"` // the first line that the next state has otherwise
}

// StoreHistory is what a file was before.
type StoreHistory struct {
	File     string         `json:"file"`
	Present  bool           `json:"present"`
	Versions []StoreVersion `json:"versions"`
}

// Table prints the history for a person.
func (r StoreHistory) Table(w io.Writer) error {
	fmt.Fprintln(w, r.File)
	if len(r.Versions) == 0 {
		fmt.Fprintln(w, "  no earlier state: it was written once")
		return nil
	}
	rows := [][]string{{"version", "until", "bytes", "first change after it"}}
	for _, v := range r.Versions {
		rows = append(rows, []string{strconv.Itoa(v.N), v.Replaced, strconv.Itoa(v.Bytes), v.Change})
	}
	return table(w, rows)
}

// StoreUndo says what was put back.
type StoreUndo struct {
	File     string `json:"file"`
	Version  int    `json:"version"`
	Replaced string `json:"replaced"`
}

// StoreBackup says what was backed up.
type StoreBackup struct {
	File  string `json:"file"`
	Files int    `json:"files"`
}

// StoreRestore says what a restore did.
type StoreRestore struct {
	Folder  string   `json:"folder"`
	Put     []string `json:"put"`     // written
	Same    int      `json:"same"`    // as in the backup already
	Kept    []string `json:"kept"`    // in the store, not in the backup
	History int      `json:"history"` // earlier states added
}

// Table prints it for a person.
func (r StoreRestore) Table(w io.Writer) error {
	fmt.Fprintf(w, "%s: %d written, %d were the same, %d earlier states added\n", r.Folder, len(r.Put), r.Same, r.History)
	for _, f := range r.Put {
		fmt.Fprintln(w, "  written  "+f)
	}
	for _, f := range r.Kept {
		fmt.Fprintln(w, "  not in the backup, kept  "+f)
	}
	return nil
}
