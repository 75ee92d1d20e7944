package records

import (
	"fmt"
	"strings"
)

// Page says which part of a list to return.
type Page struct {
	After  int64 // rows that come after the one with this id; 0 for the first page
	Limit  int   // at most so many rows; 0 means 100, at most 1000
	Newest bool  // newest first, instead of oldest first
}

func (p Page) limit() int {
	switch {
	case p.Limit <= 0:
		return 100
	case p.Limit > 1000:
		return 1000
	}
	return p.Limit
}

// filter builds the WHERE, ORDER BY and LIMIT of a list.
type filter struct {
	where []string
	args  []any
}

// and adds a condition in which %s stands for the argument.
func (f *filter) and(cond string, arg any) {
	f.args = append(f.args, arg)
	f.where = append(f.where, fmt.Sprintf(cond, fmt.Sprintf("$%d", len(f.args))))
}

// page returns the end of a query ordered by the column id.
func (f *filter) page(id string, p Page) string {
	order := " ASC"
	switch {
	case p.Newest:
		order = " DESC"
		if p.After > 0 {
			f.and(id+" < %s", p.After)
		}
	case p.After > 0:
		f.and(id+" > %s", p.After)
	}
	return f.sql() + " ORDER BY " + id + order + f.limit(p.limit())
}

func (f *filter) sql() string {
	if len(f.where) == 0 {
		return ""
	}
	return " WHERE " + strings.Join(f.where, " AND ")
}

func (f *filter) limit(n int) string {
	f.args = append(f.args, n)
	return fmt.Sprintf(" LIMIT $%d", len(f.args))
}
