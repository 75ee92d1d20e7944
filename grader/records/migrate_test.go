package records

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// old makes a database as a program with the first v migrations left it, with
// the rows of testdata/schema-V.NAME.sql. Once released, neither is ever changed.
func old(t *testing.T, p place, v int) string {
	t.Helper()
	dsn := p.dsn(t)
	db := p.raw(t, dsn)
	if v > 0 {
		must(t, db, "CREATE TABLE schema_version (version BIGINT PRIMARY KEY)")
	}
	for _, m := range steps(p.name)[:v] {
		must(t, db, m.sql)
		must(t, db, fmt.Sprintf("INSERT INTO schema_version (version) VALUES (%d)", m.version))
	}
	if v > 0 {
		rows, err := os.ReadFile(filepath.Join("testdata", fmt.Sprintf("schema-%d.%s.sql", v, p.name)))
		if err != nil {
			t.Fatal(err)
		}
		must(t, db, string(rows))
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	return dsn
}

func TestMigratesFromEveryState(t *testing.T) {
	// The version that first had a kind of row; the others were there from the
	// beginning.
	since := map[string]int{"codes used": 3, "one-time codes": 3, "rulings": 3}
	eachPlace(t, func(t *testing.T, p place) {
		for v := range len(steps(p.name)) + 1 {
			t.Run(fmt.Sprintf("version %d", v), func(t *testing.T) {
				s := open(t, old(t, p, v))
				ctx := t.Context()
				if v > 0 {
					got, err := s.Attempts(ctx, AttemptFilter{Standing: true}, Page{})
					if err != nil || len(got) != 1 || got[0].ID != 2 || got[0].Corrects != 1 || got[0].Points != 91.25 || string(got[0].Program) != "a program" {
						t.Errorf("Attempts = %+v, %v", got, err)
					}
					progress, err := s.Progress(ctx, "Ines Calloway")
					if d := cmp.Diff([]Progress{{Lesson: "L07", Attempts: 1, Best: 91.25, Passed: true, Last: moment(1772430720000000)}}, progress); err != nil || d != "" {
						t.Errorf("Progress: %v (-want +got):\n%s", err, d)
					}
					// The hashes of old entries still fit.
					if f := verify(t, s); f != nil {
						t.Errorf("faults: %q", f)
					}
					about, err := s.About(ctx, "Ines Calloway")
					if err != nil || about.Person.Crew != "day" || len(about.Kept) != 10 || slices.ContainsFunc(about.Kept, func(k Kept) bool { return k.Count == 0 && v >= since[k.Kind] }) {
						t.Errorf("About = %+v, %v", about, err)
					}
				}
				// It goes on as a new one does.
				sign(t, s, "Ines Calloway", "D1", 100, 1)
				addAttempt(t, s, attempt("Ines Calloway", "L07", 5, 1))
				if f := verify(t, s); f != nil {
					t.Errorf("faults after going on: %q", f)
				}
			})
		}
	})
}

func TestMigrationsAreForwardOnly(t *testing.T) {
	eachPlace(t, func(t *testing.T, p place) {
		dsn := p.dsn(t)
		s := open(t, dsn)
		addAttempt(t, s, attempt("Ines Calloway", "L07", 50, 1))
		now := steps(p.name)
		next := migration{version: len(now) + 1, name: "next", sql: "CREATE TABLE later (n integer); INSERT INTO later VALUES (7);"}
		broken := migration{version: len(now) + 2, name: "broken", sql: "INSERT INTO later VALUES (8); SELECT nothing FROM nowhere;"}

		// A migration that fails leaves the schema as it was, those before it undone.
		err := s.migrate(t.Context(), append(slices.Clone(now), next, broken))
		wantErr(t, err, fmt.Sprintf("migration %d (broken)", broken.version))
		if _, err := s.db.ExecContext(t.Context(), "SELECT n FROM later"); err == nil {
			t.Error("half an upgrade was kept")
		}
		if err := s.migrate(t.Context(), append(slices.Clone(now), next)); err != nil {
			t.Fatal(err)
		}
		if err := s.migrate(t.Context(), append(slices.Clone(now), next)); err != nil {
			t.Errorf("the second time: %v", err)
		}
		// An older program keeps its hands off.
		_, err = Open(context.Background(), dsn)
		wantErr(t, err, fmt.Sprintf("the records were written by a newer posework: they have version %d, this program knows %d", len(now)+1, len(now)))
	})
}

func TestMigrationFiles(t *testing.T) {
	lite, pg := steps("sqlite"), steps("postgres")
	if len(lite) != len(pg) {
		t.Fatalf("%d migrations for SQLite, %d for PostgreSQL", len(lite), len(pg))
	}
	for i := range lite {
		if lite[i].name != pg[i].name {
			t.Errorf("migration %d is %s for SQLite, %s for PostgreSQL", i+1, lite[i].name, pg[i].name)
		}
	}
}

// Programs that open new records at the same moment don't get into each other's
// way.
func TestOpenedAtTheSameMoment(t *testing.T) {
	eachPlace(t, func(t *testing.T, p place) {
		dsn := p.dsn(t)
		var wg sync.WaitGroup
		ids := make([]string, 8)
		for i := range ids {
			wg.Go(func() {
				s, err := Open(context.Background(), dsn)
				if err != nil {
					t.Errorf("Open: %v", err)
					return
				}
				ids[i] = s.ID()
				if _, err := s.AddAttempt(context.Background(), attempt("Ines Calloway", "L07", 50, i)); err != nil {
					t.Errorf("AddAttempt: %v", err)
				}
				if err := s.Close(); err != nil {
					t.Errorf("Close: %v", err)
				}
			})
		}
		wg.Wait()
		if one := slices.Compact(ids); len(one) != 1 || one[0] == "" {
			t.Errorf("identities %q, want one", one)
		}
	})
}
