package records

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"time"
)

// Code is a one-time code that lets a person in. Only its hash is kept. Of a
// person's codes the newest counts: a new one makes those before it void. Codes
// are in no backup, so that a restored one opens no doors.
type Code struct {
	ID     int64 // given by the store
	Person string
	Label  string // the part of the code that is no secret; it finds the code
	Hash   []byte // of the whole code
	Until  time.Time
	At     time.Time
}

// ErrUsed says that a one-time code was used before, or that a newer one took
// its place.
var ErrUsed = errors.New("the code was used")

func (c *Code) check() error {
	var k checks
	k.person(&c.Person)
	k.word("label", c.Label, false)
	k.text("hash", len(c.Hash))
	if len(c.Hash) == 0 {
		k.errs = append(k.errs, errors.New("hash is empty"))
	}
	k.time(c.At)
	k.time(c.Until)
	return k.err("code")
}

func (c *Code) insert(t *tx) (int64, error) {
	person, err := personID(t, c.Person, c.At)
	if err != nil {
		return 0, err
	}
	return t.id("INSERT INTO code (person, label, hash, until, at) VALUES ($1, $2, $3, $4, $5) RETURNING id",
		person, c.Label, c.Hash, micros(c.Until), micros(c.At))
}

// freshCode is the condition under which code c may still be used.
const freshCode = `c.id = (SELECT max(n.id) FROM code n WHERE n.person = c.person)
	AND NOT EXISTS (SELECT 1 FROM code_use u WHERE u.code = c.id)`

// Codes lists the codes with a label that may still be used at the time at.
func (s *Store) Codes(ctx context.Context, label string, at time.Time) ([]Code, error) {
	var list []Code
	err := s.rows(ctx, s.db, `SELECT c.id, p.name, c.label, c.hash, c.until, c.at FROM code c JOIN person p ON p.id = c.person
		WHERE c.label = $1 AND c.until > $2 AND `+freshCode+` ORDER BY c.id`, []any{label, micros(at)}, func(r *sql.Rows) error {
		var c Code
		var until, at int64
		err := r.Scan(&c.ID, &c.Person, &c.Label, &c.Hash, &until, &at)
		c.Until, c.At = moment(until), moment(at)
		list = append(list, c)
		return err
	})
	return list, err
}

// UseCode uses a code up. Of several that try, at the same moment and from
// different machines too, one succeeds; the others get [ErrUsed].
func (s *Store) UseCode(ctx context.Context, id int64, at time.Time) error {
	if at.IsZero() {
		return errors.New("use a code: time is not given")
	}
	return s.d.write(ctx, func(t *tx) error {
		var used int64
		err := t.one([]any{&used}, `INSERT INTO code_use (code, person, at)
			SELECT c.id, c.person, $2 FROM code c WHERE c.id = $1 AND c.until > $2 AND `+freshCode+`
			ON CONFLICT (code) DO NOTHING RETURNING code`, id, micros(at))
		if errors.Is(err, sql.ErrNoRows) {
			return fmt.Errorf("code %d: %w", id, ErrUsed)
		}
		return err
	})
}
