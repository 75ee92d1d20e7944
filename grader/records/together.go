package records

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
)

// Postgres returns the database in which the records lie, for a program that
// keeps more there beside them; nil for records in a file.
func (s *Store) Postgres() *sql.DB {
	if _, ok := s.d.(*postgresDialect); ok {
		return s.db
	}
	return nil
}

// Explain puts an error of the database in words, as the errors of this package
// do, for who works on it through [Store.Postgres].
func (s *Store) Explain(err error) error { return s.d.explain(err) }

// AddWith records rows as [Store.Add] does and runs more in the same transaction:
// what either of them writes is there with what the other one does, or not at
// all. It may be run again, from the start. Only for records on PostgreSQL.
func (s *Store) AddWith(ctx context.Context, more func(t *sql.Tx, ids []int64) error, rows ...Row) error {
	if s.Postgres() == nil {
		return errors.New("records in a file have no transactions to share; keep them on PostgreSQL")
	}
	for _, r := range rows {
		if err := r.check(); err != nil {
			return &RefusedError{err}
		}
	}
	return s.d.write(ctx, func(t *tx) error {
		ids, err := t.insert(rows)
		if err != nil {
			return err
		}
		return more(t.q.(*sql.Tx), ids)
	})
}

// RefusedError says that a row can't be kept as it is: trying again is no use.
type RefusedError struct{ Err error }

func (e *RefusedError) Error() string { return e.Err.Error() }

// Unwrap returns what is wrong with the row.
func (e *RefusedError) Unwrap() error { return e.Err }

func refused(format string, args ...any) error { return &RefusedError{fmt.Errorf(format, args...)} }
