package records

import (
	"context"
	"crypto/rand"
	"database/sql"
	"net/url"
	"os"
	"strings"
	"testing"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/stdlib"
)

// places returns the databases that the contract is tested on. PostgreSQL needs
// a server whose URL is in POSEWORK_TEST_POSTGRES and whose user may create
// schemas; each test gets an empty schema of its own.
func places(t testing.TB) []place {
	list := []place{sqlitePlace()}
	base := os.Getenv("POSEWORK_TEST_POSTGRES")
	if base == "" {
		return append(list, place{name: "postgres"})
	}
	return append(list, place{
		name:   "postgres",
		dsn:    func(t testing.TB) string { return newSchema(t, base) },
		raw:    rawPostgres,
		disarm: disarmPostgres,
	})
}

func newSchema(t testing.TB, base string) string {
	t.Helper()
	name := "t_" + strings.ToLower(rand.Text())
	db := rawPostgres(t, base)
	must(t, db, "CREATE SCHEMA "+name)
	t.Cleanup(func() {
		if _, err := db.ExecContext(context.Background(), "DROP SCHEMA "+name+" CASCADE"); err != nil {
			t.Error(err)
		}
	})
	u, err := url.Parse(base)
	if err != nil {
		t.Fatal(err)
	}
	q := u.Query()
	q.Set("search_path", name)
	u.RawQuery = q.Encode()
	return u.String()
}

func rawPostgres(t testing.TB, dsn string) *sql.DB {
	t.Helper()
	c, err := pgx.ParseConfig(dsn)
	if err != nil {
		t.Fatal(err)
	}
	db := stdlib.OpenDB(*c)
	t.Cleanup(func() { db.Close() })
	return db
}

func disarmPostgres(t testing.TB, db *sql.DB) {
	t.Helper()
	for _, table := range []string{"roster", "attempt", "answer", "practice", "person", "signer", "chain"} {
		must(t, db, "ALTER TABLE "+table+" DISABLE TRIGGER USER")
	}
}
