package records

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"strings"
	"time"
)

// Progress is where a person stands with a lesson, over the attempts that count.
type Progress struct {
	Lesson   string
	Attempts int
	Best     float64 // points
	Passed   bool    // by any attempt
	Last     time.Time
}

// Progress returns where a person stands, by lesson. A person who is not known
// has no progress; that is no error.
func (s *Store) Progress(ctx context.Context, person string) ([]Progress, error) {
	id, _, err := s.knownID(ctx, s.db, person)
	if errors.Is(err, ErrNotFound) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	var list []Progress
	err = s.rows(ctx, s.db, "SELECT lesson, attempts, best, passed, last FROM progress WHERE person = $1 ORDER BY lesson",
		[]any{id}, func(r *sql.Rows) error {
			p, err := scanProgress(r.Scan)
			list = append(list, p)
			return err
		})
	return list, err
}

func scanProgress(scan func(...any) error, before ...any) (Progress, error) {
	var p Progress
	var passed int
	var last int64
	err := scan(append(before, &p.Lesson, &p.Attempts, &p.Best, &passed, &last)...)
	p.Passed, p.Last = passed == 1, moment(last)
	return p, err
}

// Standing is one person's row of a mark sheet.
type Standing struct {
	Person  Person
	Lessons []Progress // by lesson
}

// sheetMax is how many people a part of a mark sheet has at most: each comes with
// a row a lesson.
const sheetMax = 250

// Sheet returns where people stand, by name, at most limit people (0: 100, at
// most 250).
func (s *Store) Sheet(ctx context.Context, w PeopleFilter, limit int) ([]Standing, error) {
	f := w.filter()
	var list []Standing
	var ids []any
	at := map[int64]int{}
	query := "SELECT " + personColumns + ", p.id" + personTables + f.sql() + " ORDER BY p.fold" + f.limit(min(sheetMax, Page{Limit: limit}.limit()))
	err := s.rows(ctx, s.db, query, f.args, func(r *sql.Rows) error {
		var id int64
		p, err := scanPerson(r.Scan, &id)
		at[id] = len(list)
		ids = append(ids, id)
		list = append(list, Standing{Person: p})
		return err
	})
	if err != nil || len(list) == 0 {
		return nil, err
	}
	marks := make([]string, len(ids))
	for i := range ids {
		marks[i] = fmt.Sprintf("$%d", i+1)
	}
	query = "SELECT person, lesson, attempts, best, passed, last FROM progress WHERE person IN (" +
		strings.Join(marks, ", ") + ") ORDER BY person, lesson"
	err = s.rows(ctx, s.db, query, ids, func(r *sql.Rows) error {
		var id int64
		p, err := scanProgress(r.Scan, &id)
		l := &list[at[id]].Lessons
		*l = append(*l, p)
		return err
	})
	return list, err
}
