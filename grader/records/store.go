package records

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"time"
)

// Errors that callers tell apart with [errors.Is].
var (
	ErrNotFound = errors.New("not found")
	ErrClosed   = errors.New("the records are closed")
	ErrNewer    = errors.New("the records were written by a newer posework")
	ErrGone     = errors.New("the records are out of reach")
	ErrFull     = errors.New("the disk is full")
	ErrReadOnly = errors.New("the records can't be written")
	ErrDamaged  = errors.New("the records file is damaged")
	ErrBusy     = errors.New("the records are busy")
	ErrUnsure   = errors.New("it is not known whether this was recorded")
)

// Store is an open set of records. Safe for concurrent use.
type Store struct {
	db  *sql.DB // for reading; on PostgreSQL for writing too
	d   dialect
	id  string // of these records, a UUID given when they were made
	dsn string
}

// dialect is what differs between the databases.
type dialect interface {
	// folder names the migrations.
	folder() string
	// write runs fn in a transaction and returns once that is durable. fn may
	// be run again, from the start, when the transaction could not be kept.
	write(ctx context.Context, fn func(*tx) error) error
	// snapshot begins a transaction that sees one moment of the records.
	snapshot(ctx context.Context, db *sql.DB) (*sql.Tx, error)
	// alone keeps other transactions of the same kind out until this one ends.
	alone(t *tx) error
	// lastID returns the id that was given last in a table, 0 for none.
	lastID(ctx context.Context, q querier, table string) (int64, error)
	// setLastID has ids of a table count on from n.
	setLastID(t *tx, table string, n int64) error
	// scrub removes what erased rows leave behind in the files.
	scrub(ctx context.Context) error
	// explain turns the driver's error into one of ours, or returns it.
	explain(err error) error
	close() error
}

// Open opens the records at dsn, and makes or upgrades them where needed. dsn
// is the path of a SQLite file, with or without "sqlite:" before it, or a
// PostgreSQL URL (postgres://user@host/name; what the URL leaves out comes from
// the usual PG variables of the environment). The records must be closed.
func Open(ctx context.Context, dsn string) (*Store, error) {
	var s *Store
	var err error
	switch file, lite := File(dsn); {
	case dsn == "":
		return nil, errors.New("open records: no place is named; set HOME or XDG_DATA_HOME, or name a file")
	case lite:
		s, err = openSQLite(ctx, file)
	default:
		s, err = openPostgres(ctx, dsn)
	}
	if err != nil {
		return nil, fmt.Errorf("open records: %w", err)
	}
	s.dsn = dsn
	if err := s.migrate(ctx, steps(s.d.folder())); err != nil {
		s.Close()
		return nil, fmt.Errorf("open records: %w", s.d.explain(err))
	}
	return s, nil
}

// Close ends every use of the records. Writes that were acknowledged stay.
func (s *Store) Close() error {
	return errors.Join(s.d.close(), s.db.Close())
}

// ID returns the UUID of these records. A restored backup keeps it.
func (s *Store) ID() string { return s.id }

// tx is a transaction in which rows are written.
type tx struct {
	ctx context.Context
	d   dialect
	q   querier
	ask func(ctx context.Context, query string) (*sql.Stmt, error) // nil: not prepared
}

type querier interface {
	ExecContext(ctx context.Context, query string, args ...any) (sql.Result, error)
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
}

// exec runs one statement.
func (t *tx) exec(query string, args ...any) error {
	if t.ask == nil {
		_, err := t.q.ExecContext(t.ctx, query, args...)
		return err
	}
	st, err := t.ask(t.ctx, query)
	if err != nil {
		return err
	}
	_, err = st.ExecContext(t.ctx, args...)
	return err
}

// one runs a query for one row into dest; [sql.ErrNoRows] when there is none.
func (t *tx) one(dest []any, query string, args ...any) error {
	if t.ask == nil {
		return t.q.QueryRowContext(t.ctx, query, args...).Scan(dest...)
	}
	st, err := t.ask(t.ctx, query)
	if err != nil {
		return err
	}
	return st.QueryRowContext(t.ctx, args...).Scan(dest...)
}

// id runs an INSERT ... RETURNING id.
func (t *tx) id(query string, args ...any) (int64, error) {
	var id int64
	err := t.one([]any{&id}, query, args...)
	return id, err
}

// micros is how a time is kept. Zero times are refused before.
func micros(t time.Time) int64 { return t.UnixMicro() }

// moment is the inverse of micros.
func moment(us int64) time.Time { return time.UnixMicro(us).UTC() }

func bit(b bool) int {
	if b {
		return 1
	}
	return 0
}

// rows runs a query on db and calls scan for each row.
func (s *Store) rows(ctx context.Context, q querier, query string, args []any, scan func(*sql.Rows) error) error {
	rows, err := q.QueryContext(ctx, query, args...)
	if err != nil {
		return s.d.explain(err)
	}
	defer rows.Close()
	for rows.Next() {
		if err := scan(rows); err != nil {
			return s.d.explain(err)
		}
	}
	return s.d.explain(rows.Err())
}
