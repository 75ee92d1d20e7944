package records

import (
	"database/sql"
	"errors"
	"testing"
)

// What more is written stands or falls with the rows.
func TestAddWith(t *testing.T) {
	eachPlace(t, func(t *testing.T, p place) {
		s := open(t, p.dsn(t))
		a := attempt("Ines Calloway", "L07", 60, 1)
		if s.Postgres() == nil {
			wantErr(t, s.AddWith(t.Context(), nil, &a), "keep them on PostgreSQL")
			return
		}
		must(t, s.Postgres(), "CREATE TABLE beside (id BIGINT)")
		write := func(fail error) func(*sql.Tx, []int64) error {
			return func(q *sql.Tx, ids []int64) error {
				if _, err := q.ExecContext(t.Context(), "INSERT INTO beside VALUES ($1)", ids[0]); err != nil {
					return err
				}
				return fail
			}
		}
		stop := errors.New("stop")
		if err := s.AddWith(t.Context(), write(stop), &a); !errors.Is(err, stop) {
			t.Errorf("AddWith = %v, want %v", err, stop)
		}
		var refused *RefusedError
		b := a
		b.Corrects = 4711
		if err := s.AddWith(t.Context(), write(nil), &b); !errors.As(err, &refused) || !errors.Is(err, ErrNotFound) {
			t.Errorf("correcting nothing: %v", err)
		}
		b = a
		b.Points = 101
		if err := s.AddWith(t.Context(), write(nil), &b); !errors.As(err, &refused) {
			t.Errorf("too many points: %v", err)
		}
		if err := s.AddWith(t.Context(), write(nil), &a); err != nil {
			t.Fatal(err)
		}
		list, err := s.Attempts(t.Context(), AttemptFilter{}, Page{})
		var beside, id int64
		err2 := s.Postgres().QueryRowContext(t.Context(), "SELECT count(*), max(id) FROM beside").Scan(&beside, &id)
		if err != nil || err2 != nil || len(list) != 1 || beside != 1 || id != list[0].ID {
			t.Errorf("%d attempts, %d rows beside them, of attempt %d: %v, %v", len(list), beside, id, err, err2)
		}
	})
}
