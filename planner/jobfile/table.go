package jobfile

import (
	"fmt"
	"strings"
)

// Table reads or writes the table at a key.
func (f *Form) Table(key string, fill func()) {
	if f.out != nil {
		f.below(key, key, func() { f.table("["+strings.Join(f.heads, ".")+"]", false, fill) })
		return
	}
	raw, ok := f.in.get(key)
	if !ok {
		return
	}
	values, isTable := raw.(map[string]any)
	if !isTable {
		f.fault(key, "job-type", "", "must be a table, [%s]", f.name(key))
		return
	}
	f.enter(key, values, f.in.at.key(key), fill)
}

// enter reads one table, and reports the keys of it that nobody asked for.
func (f *Form) enter(key string, values map[string]any, at *node, fill func()) {
	outer := f.in
	f.in = &reader{values: values, at: at}
	f.path = append(f.path, key)
	fill()
	f.unknown()
	f.path = f.path[:len(f.path)-1]
	f.in = outer
}

// below runs what belongs to a key: label in faults, head in headers.
func (f *Form) below(label, head string, do func()) {
	f.path, f.heads = append(f.path, label), append(f.heads, head)
	do()
	f.path, f.heads = f.path[:len(f.path)-1], f.heads[:len(f.heads)-1]
}

// Tables reads or writes a list of tables, each under its own [[key]].
func Tables[T any](f *Form, key string, v *[]T, fill func(*T)) {
	list(f, key, v, fill, func(item func()) {
		f.table("[["+strings.Join(f.heads, ".")+"]]", true, item)
	})
}

// Rows reads or writes a list of tables, each on one line.
func Rows[T any](f *Form, key string, v *[]T, fill func(*T)) {
	var rows []string
	list(f, key, v, fill, func(item func()) {
		outer := f.out
		f.out = &writer{inline: true}
		item()
		rows = append(rows, "{ "+strings.Join(f.out.pairs, ", ")+" }")
		f.out = outer
	})
	if f.out != nil && len(rows) > 0 {
		f.out.rows(key, rows)
	}
}

// list runs fill over the items of a list. Either form of TOML, [[key]] or
// key = [{...}], is read.
func list[T any](f *Form, key string, v *[]T, fill func(*T), write func(item func())) {
	if f.out != nil {
		for i := range *v {
			f.below(label(key, i), key, func() { write(func() { fill(&(*v)[i]) }) })
		}
		return
	}
	raw, ok := f.in.get(key)
	if !ok {
		return
	}
	var tables []map[string]any
	switch x := raw.(type) {
	case []map[string]any:
		tables = x
	case []any:
		for i, item := range x {
			t, isTable := item.(map[string]any)
			if !isTable {
				f.itemFault(key, i, "job-type", "must be a table, {...}")
				return
			}
			tables = append(tables, t)
		}
	default:
		f.fault(key, "job-type", "", "must be a list of tables, [[%s]]", f.name(key))
		return
	}
	*v = nil
	at := f.in.at.key(key)
	for i, t := range tables {
		var item T
		f.enter(label(key, i), t, at.item(i), func() { fill(&item) })
		*v = append(*v, item)
	}
}

// label names one item of a list in faults; items count from 1.
func label(key string, i int) string { return fmt.Sprintf("%s[%d]", key, i+1) }
