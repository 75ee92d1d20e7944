package records

import (
	"context"
	"embed"
	"fmt"
	"io/fs"
	"strconv"
	"strings"

	"github.com/google/uuid"
)

//go:embed migrations
var migrations embed.FS

// migration is one numbered step of the schema, forward only.
type migration struct {
	version int
	name    string
	sql     string
}

// steps returns the migrations of a dialect in order. The files are numbered
// from 1 without gaps; anything else is a mistake in this package.
func steps(folder string) []migration {
	files, err := fs.ReadDir(migrations, "migrations/"+folder)
	if err != nil {
		panic("records: " + err.Error())
	}
	var list []migration
	for i, f := range files {
		number, name, _ := strings.Cut(strings.TrimSuffix(f.Name(), ".sql"), "_")
		v, err := strconv.Atoi(number)
		text, err2 := fs.ReadFile(migrations, "migrations/"+folder+"/"+f.Name())
		if err != nil || err2 != nil || v != i+1 {
			panic("records: migration " + f.Name() + " is out of order")
		}
		list = append(list, migration{version: v, name: name, sql: string(text)})
	}
	return list
}

// migrate brings the schema up to the newest version, in one transaction, and
// reads the identity of the records.
func (s *Store) migrate(ctx context.Context, list []migration) error {
	return s.d.write(ctx, func(t *tx) error {
		// Two programs may open new records at the same moment.
		if err := s.d.alone(t); err != nil {
			return err
		}
		if err := t.exec("CREATE TABLE IF NOT EXISTS schema_version (version BIGINT PRIMARY KEY)"); err != nil {
			return err
		}
		var have int
		if err := t.one([]any{&have}, "SELECT coalesce(max(version), 0) FROM schema_version"); err != nil {
			return err
		}
		if have > len(list) {
			return fmt.Errorf("%w: they have version %d, this program knows %d; install the newer program", ErrNewer, have, len(list))
		}
		for _, m := range list[have:] {
			if _, err := t.q.ExecContext(ctx, m.sql); err != nil {
				return fmt.Errorf("migration %d (%s): %w", m.version, m.name, err)
			}
			if err := t.exec("INSERT INTO schema_version (version) VALUES ($1)", m.version); err != nil {
				return err
			}
		}
		if err := t.exec("INSERT INTO store (name, value) VALUES ('id', $1) ON CONFLICT DO NOTHING", uuid.NewString()); err != nil {
			return err
		}
		return t.one([]any{&s.id}, "SELECT value FROM store WHERE name = 'id'")
	})
}
