package records

import (
	"context"
	"database/sql"
	"encoding/json"
	"time"
)

// Practice is a piece of the practice log: what a person did on the bench.
type Practice struct {
	ID     int64 // given by the store
	Person string
	Lesson string
	Seed   uint64          // of the variant of the cell
	Kind   string          // what the piece is: "session", "step", "run"
	Data   json.RawMessage // as package practice writes it; empty means {}
	At     time.Time
}

func (p *Practice) check() error {
	var c checks
	c.person(&p.Person)
	c.word("lesson", p.Lesson, false)
	c.word("kind", p.Kind, false)
	c.json("data", &p.Data, "{}")
	c.time(p.At)
	return c.err("practice")
}

func (p *Practice) insert(t *tx) (int64, error) {
	person, err := personID(t, p.Person, p.At)
	if err != nil {
		return 0, err
	}
	return t.id("INSERT INTO practice (person, lesson, seed, kind, data, at) VALUES ($1, $2, $3, $4, $5, $6) RETURNING id",
		person, p.Lesson, int64(p.Seed), p.Kind, string(p.Data), micros(p.At))
}

// AddPractice records a piece of the practice log and returns its id.
func (s *Store) AddPractice(ctx context.Context, p Practice) (int64, error) { return s.add(ctx, &p) }

// Practices lists a person's practice log, of one lesson or, when lesson is
// empty, of all.
func (s *Store) Practices(ctx context.Context, person, lesson string, page Page) ([]Practice, error) {
	return s.practices(ctx, s.db, person, lesson, page)
}

func (s *Store) practices(ctx context.Context, q querier, person, lesson string, page Page) ([]Practice, error) {
	f := &filter{}
	if person != "" {
		id, _, err := s.knownID(ctx, q, person)
		if err != nil {
			return nil, err
		}
		f.and("a.person = %s", id)
	}
	if lesson != "" {
		f.and("a.lesson = %s", lesson)
	}
	query := `SELECT a.id, p.name, a.lesson, a.seed, a.kind, a.data, a.at
		FROM practice a JOIN person p ON p.id = a.person` + f.page("a.id", page)
	var list []Practice
	err := s.rows(ctx, q, query, f.args, func(r *sql.Rows) error {
		var p Practice
		var seed, at int64
		var data string
		err := r.Scan(&p.ID, &p.Person, &p.Lesson, &seed, &p.Kind, &data, &at)
		p.Seed, p.Data, p.At = uint64(seed), json.RawMessage(data), moment(at)
		list = append(list, p)
		return err
	})
	return list, err
}
