package records

import (
	"context"
	"database/sql"
	"encoding/json"
	"time"
)

// Ruling is something that an instructor decided for the learners of a site: a
// lesson closed, an examination begun, a note. What the kinds mean is the
// reader's affair; the newest of a kind usually holds. Rulings are in no backup:
// they are about today.
type Ruling struct {
	ID     int64 // given by the store
	Site   string
	By     string // the instructor
	Kind   string
	Lesson string          // may be empty
	Data   json.RawMessage // empty means {}
	At     time.Time
}

func (r *Ruling) check() error {
	var c checks
	c.person(&r.By)
	c.word("site", r.Site, false)
	c.word("kind", r.Kind, false)
	c.word("lesson", r.Lesson, true)
	c.json("data", &r.Data, "{}")
	c.time(r.At)
	return c.err("ruling")
}

func (r *Ruling) insert(t *tx) (int64, error) {
	person, err := personID(t, r.By, r.At)
	if err != nil {
		return 0, err
	}
	return t.id("INSERT INTO ruling (site, person, kind, lesson, data, at) VALUES ($1, $2, $3, $4, $5, $6) RETURNING id",
		r.Site, person, r.Kind, r.Lesson, string(r.Data), micros(r.At))
}

// AddRuling records a ruling and returns its id.
func (s *Store) AddRuling(ctx context.Context, r Ruling) (int64, error) { return s.add(ctx, &r) }

// Rulings lists the rulings of a site or, when site is empty, of all.
func (s *Store) Rulings(ctx context.Context, site string, page Page) ([]Ruling, error) {
	f := &filter{}
	if site != "" {
		f.and("a.site = %s", site)
	}
	query := `SELECT a.id, a.site, p.name, a.kind, a.lesson, a.data, a.at
		FROM ruling a JOIN person p ON p.id = a.person` + f.page("a.id", page)
	var list []Ruling
	err := s.rows(ctx, s.db, query, f.args, func(r *sql.Rows) error {
		var o Ruling
		var data string
		var at int64
		err := r.Scan(&o.ID, &o.Site, &o.By, &o.Kind, &o.Lesson, &data, &at)
		o.Data, o.At = json.RawMessage(data), moment(at)
		list = append(list, o)
		return err
	})
	return list, err
}
