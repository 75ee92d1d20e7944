package records

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"errors"
	"fmt"
	"io"
	"net"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/stdlib"
)

// againMax is how often a transaction is tried that lost a race with another.
const againMax = 10

// postgresDialect gives every write a transaction of its own; the server shares
// the syncs between them.
type postgresDialect struct {
	db    *sql.DB
	place string // host, port and database, for messages: no user, no password
}

func openPostgres(ctx context.Context, url string) (*Store, error) {
	c, err := pgx.ParseConfig(url)
	if err != nil {
		// The text may quote the URL, password and all.
		return nil, errors.New("the PostgreSQL URL can't be read; write postgres://user@host:port/database")
	}
	// Durable before acknowledged, whatever the server's or the role's default.
	c.RuntimeParams["synchronous_commit"] = "on"
	if c.RuntimeParams["application_name"] == "" {
		c.RuntimeParams["application_name"] = "posework"
	}
	db := stdlib.OpenDB(*c)
	db.SetMaxOpenConns(16)
	db.SetMaxIdleConns(16)
	d := &postgresDialect{db: db, place: fmt.Sprintf("%s:%d/%s", c.Host, c.Port, c.Database)}
	if err := db.PingContext(ctx); err != nil {
		return nil, errors.Join(d.explain(err), db.Close())
	}
	return &Store{db: db, d: d}, nil
}

func (d *postgresDialect) folder() string { return "postgres" }

func (d *postgresDialect) write(ctx context.Context, fn func(*tx) error) error {
	var err error
	for range againMax {
		if err = d.once(ctx, fn); !lostRace(err) {
			break
		}
	}
	return d.explain(err)
}

func (d *postgresDialect) once(ctx context.Context, fn func(*tx) error) error {
	t, err := d.db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	if err := fn(&tx{ctx: ctx, d: d, q: t}); err != nil {
		return errors.Join(err, t.Rollback())
	}
	if err := t.Commit(); err != nil {
		if lostConnection(err) {
			return fmt.Errorf("%w; look before you try again: %w", ErrUnsure, err)
		}
		return err
	}
	return nil
}

// lostConnection tells whether the server went away, or was never there.
func lostConnection(err error) bool {
	var c *pgconn.ConnectError
	var n *net.OpError
	var e *pgconn.PgError
	return errors.As(err, &c) || errors.As(err, &n) || errors.Is(err, net.ErrClosed) || errors.Is(err, io.ErrUnexpectedEOF) || errors.Is(err, io.EOF) ||
		errors.Is(err, driver.ErrBadConn) || pgconn.SafeToRetry(err) ||
		// admin_shutdown, crash_shutdown, cannot_connect_now
		errors.As(err, &e) && (e.Code == "57P01" || e.Code == "57P02" || e.Code == "57P03")
}

// lostRace tells whether the transaction would go through if tried again: it
// could not be serialised, met a deadlock, or a row that it refers to was erased
// in between.
func lostRace(err error) bool {
	var e *pgconn.PgError
	if !errors.As(err, &e) {
		return false
	}
	switch e.Code {
	case "40001", "40P01", "23503":
		return true
	}
	return false
}

func (d *postgresDialect) snapshot(ctx context.Context, db *sql.DB) (*sql.Tx, error) {
	return db.BeginTx(ctx, &sql.TxOptions{Isolation: sql.LevelRepeatableRead, ReadOnly: true})
}

// chainLock is the number of the advisory lock around the chain and the schema.
const chainLock = 0x706f7365776f726b // "posework"

func (d *postgresDialect) alone(t *tx) error {
	return t.exec("SELECT pg_advisory_xact_lock($1)", int64(chainLock))
}

func (d *postgresDialect) lastID(ctx context.Context, q querier, table string) (int64, error) {
	var n int64
	err := q.QueryRowContext(ctx, "SELECT CASE WHEN is_called THEN last_value ELSE 0 END FROM "+table+"_id_seq").Scan(&n)
	return n, err
}

func (d *postgresDialect) setLastID(t *tx, table string, n int64) error {
	if n == 0 {
		return nil
	}
	return t.exec("SELECT setval($1, $2)", table+"_id_seq", n)
}

func (d *postgresDialect) scrub(ctx context.Context) error {
	_, err := d.db.ExecContext(ctx, "VACUUM person, roster, attempt, progress, answer, practice, signer, code, code_use, ruling")
	return err
}

func (d *postgresDialect) close() error { return nil }

// explain puts PostgreSQL's error codes (Appendix A of its manual) and the
// network's errors in words.
func (d *postgresDialect) explain(err error) error {
	var e *pgconn.PgError
	switch {
	case err == nil, errors.Is(err, ErrGone), errors.Is(err, context.Canceled), errors.Is(err, context.DeadlineExceeded):
		return err
	case errors.As(err, &e) && e.Code == "53100": // disk_full
		return fmt.Errorf("%w on the database server %s; nothing of this was recorded; free some space there and try again", ErrFull, d.place)
	case errors.As(err, &e) && (e.Code == "25006" || e.Code == "42501"): // read_only_sql_transaction, insufficient_privilege
		return fmt.Errorf("%w: the database server %s says: %s; give the database user the right to write", ErrReadOnly, d.place, e.Message)
	case lostConnection(err):
		return fmt.Errorf("%w: the database server %s does not answer; check that it runs, then try again: %w", ErrGone, d.place, err)
	}
	return err
}
