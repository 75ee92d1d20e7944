package records

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"syscall"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"
)

// busyMS is how long a connection waits for another process's lock.
const busyMS = 10_000

// sqliteDialect writes through one connection that one goroutine owns. Writes
// that arrive while a transaction is being synced go together into the next.
type sqliteDialect struct {
	path  string
	file  fs.FileInfo // of path when it was opened
	db    *sql.DB     // one connection
	conn  *sql.Conn
	stmts map[string]*sql.Stmt

	queue chan *write
	quit  chan struct{} // closed by close
	done  chan struct{} // closed when the goroutine has ended
	once  sync.Once
}

func openSQLite(ctx context.Context, path string) (*Store, error) {
	path, err := filepath.Abs(path)
	if err != nil {
		return nil, err
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return nil, cannotWrite(err)
	}
	// The driver would make the file readable by everyone.
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return nil, cannotWrite(err)
	}
	d := &sqliteDialect{
		path:  path,
		stmts: map[string]*sql.Stmt{},
		queue: make(chan *write, groupMax),
		quit:  make(chan struct{}),
		done:  make(chan struct{}),
	}
	d.file, err = f.Stat()
	if err := errors.Join(err, f.Close()); err != nil {
		return nil, err
	}
	// secure_delete has erased rows overwritten with zeros.
	d.db, err = sql.Open("sqlite", sqliteURI(path, "journal_mode(WAL)", "synchronous(FULL)", "foreign_keys(1)", "secure_delete(1)"))
	if err != nil {
		return nil, err
	}
	d.db.SetMaxOpenConns(1)
	if d.conn, err = d.db.Conn(ctx); err != nil {
		d.db.Close()
		return nil, d.explain(err)
	}
	read, err := sql.Open("sqlite", sqliteURI(path, "query_only(1)"))
	if err != nil {
		return nil, errors.Join(err, d.conn.Close(), d.db.Close())
	}
	read.SetMaxOpenConns(8)
	read.SetMaxIdleConns(8)
	go d.loop()
	return &Store{db: read, d: d}, nil
}

// cannotWrite explains why a file could not be made or opened.
func cannotWrite(err error) error {
	if errors.Is(err, syscall.ENOSPC) {
		return fmt.Errorf("%w: %w; free some space there", ErrFull, err)
	}
	return fmt.Errorf("%w: %w; give yourself the right to write there, or name another file", ErrReadOnly, err)
}

// sqliteURI returns the data source name of a file with pragmas.
func sqliteURI(path string, pragmas ...string) string {
	slashed := filepath.ToSlash(path)
	if !strings.HasPrefix(slashed, "/") { // C:/...
		slashed = "/" + slashed
	}
	q := url.Values{"_busy_timeout": {fmt.Sprint(busyMS)}, "_pragma": pragmas, "_dqs": {"0"}, "_defensive": {"1"}, "_error_rc": {"1"}}
	return (&url.URL{Scheme: "file", Path: slashed, RawQuery: q.Encode()}).String()
}

func (d *sqliteDialect) folder() string { return "sqlite" }

// samePlace reports a file that was moved or deleted while it was open: what is
// written to it now would be lost with the last process that has it open.
func (d *sqliteDialect) samePlace() error {
	now, err := os.Stat(d.path)
	if err != nil {
		return fmt.Errorf("%w: %w", ErrGone, err)
	}
	if !os.SameFile(d.file, now) {
		return fmt.Errorf("%w: %s is another file than the one that was opened", ErrGone, d.path)
	}
	return nil
}

func (d *sqliteDialect) prepared(ctx context.Context, query string) (*sql.Stmt, error) {
	if st := d.stmts[query]; st != nil {
		return st, nil
	}
	st, err := d.conn.PrepareContext(ctx, query)
	if err == nil {
		d.stmts[query] = st
	}
	return st, err
}

func (d *sqliteDialect) snapshot(ctx context.Context, db *sql.DB) (*sql.Tx, error) {
	t, err := db.BeginTx(ctx, nil)
	if err != nil {
		return nil, err
	}
	// A deferred transaction sees the moment of its first read.
	var n int
	if err := t.QueryRowContext(ctx, "SELECT count(*) FROM site").Scan(&n); err != nil {
		return nil, errors.Join(err, t.Rollback())
	}
	return t, nil
}

// alone needs nothing: SQLite has one writer at a time.
func (d *sqliteDialect) alone(*tx) error { return nil }

func (d *sqliteDialect) lastID(ctx context.Context, q querier, table string) (int64, error) {
	var n int64
	err := q.QueryRowContext(ctx, "SELECT coalesce(max(seq), 0) FROM sqlite_sequence WHERE name = $1", table).Scan(&n)
	return n, err
}

func (d *sqliteDialect) setLastID(t *tx, table string, n int64) error {
	if err := t.exec("DELETE FROM sqlite_sequence WHERE name = $1", table); err != nil {
		return err
	}
	return t.exec("INSERT INTO sqlite_sequence (name, seq) VALUES ($1, $2)", table, n)
}

// scrub writes the file anew: though deleted cells are overwritten, what moved
// between pages before may have left copies. Then it empties the log.
func (d *sqliteDialect) scrub(ctx context.Context) error {
	// The writing connection is in use, and can't do this inside a transaction.
	db, err := sql.Open("sqlite", sqliteURI(d.path))
	if err != nil {
		return err
	}
	defer db.Close()
	if _, err := db.ExecContext(ctx, "VACUUM"); err != nil {
		return err
	}
	var busy, pages, moved int
	err = db.QueryRowContext(ctx, "PRAGMA wal_checkpoint(TRUNCATE)").Scan(&busy, &pages, &moved)
	if err == nil && busy != 0 {
		err = ErrBusy
	}
	return err
}

func (d *sqliteDialect) close() error {
	var err error
	d.once.Do(func() {
		close(d.quit)
		<-d.done
		for _, st := range d.stmts {
			err = errors.Join(err, st.Close())
		}
		err = errors.Join(err, d.conn.Close(), d.db.Close())
	})
	return err
}

// explain puts SQLite's result codes in words (https://www.sqlite.org/rescode.html).
func (d *sqliteDialect) explain(err error) error {
	var e *sqlite.Error
	if !errors.As(err, &e) {
		return err
	}
	switch e.Code() & 0xff {
	case sqlite3.SQLITE_FULL:
		return fmt.Errorf("%w; nothing of this was recorded; free some space beside %s and try again", ErrFull, d.path)
	case sqlite3.SQLITE_READONLY, sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_PERM:
		return fmt.Errorf("%w; give yourself the right to write %s and its folder, or name another file", ErrReadOnly, d.path)
	case sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB:
		return fmt.Errorf("%w or not one of posework's; restore %s from a backup", ErrDamaged, d.path)
	case sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED:
		return fmt.Errorf("%w: another program has held %s for %d s; nothing of this was recorded; close it or try again", ErrBusy, d.path, busyMS/1000)
	case sqlite3.SQLITE_IOERR:
		return fmt.Errorf("%w: %s: %w", ErrGone, d.path, err)
	}
	return err
}
