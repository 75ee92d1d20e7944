package records

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"time"
)

// Person is what the roster says of a person. Recorded again with other values,
// the newest holds; recorded again unchanged, nothing is added.
type Person struct {
	Name string // unique without regard to case
	Crew string // shift or class; may be empty
	Site string // whose chain the person's sign-offs go into; empty means [DefaultSite]
	Role string // "learner" or "instructor"; empty means learner
	Key  string // SSH public key, "TYPE BASE64" without comment; may be empty; one person's at a time
	At   time.Time
}

// DefaultSite is the site of people whose roster names none.
const DefaultSite = "main"

// The roles.
const (
	Learner    = "learner"
	Instructor = "instructor"
)

func (p *Person) check() error {
	var c checks
	c.person(&p.Name)
	if p.Site == "" {
		p.Site = DefaultSite
	}
	if p.Role == "" {
		p.Role = Learner
	}
	c.word("crew", p.Crew, true)
	c.word("site", p.Site, false)
	if p.Role != Learner && p.Role != Instructor {
		c.errs = append(c.errs, fmt.Errorf("role is %q, but must be %s or %s", p.Role, Learner, Instructor))
	}
	c.text("key", len(p.Key))
	c.time(p.At)
	return c.err("person")
}

func (p *Person) insert(t *tx) (int64, error) {
	id, err := personID(t, p.Name, p.At)
	if err != nil {
		return 0, err
	}
	var old Person
	err = t.one([]any{&old.Crew, &old.Site, &old.Role, &old.Key},
		"SELECT crew, site, role, key FROM roster WHERE person = $1 ORDER BY id DESC LIMIT 1", id)
	switch {
	case err == nil && old.Crew == p.Crew && old.Site == p.Site && old.Role == p.Role && old.Key == p.Key:
		return id, nil
	case err != nil && !errors.Is(err, sql.ErrNoRows):
		return 0, err
	}
	if err := p.ownKey(t, id); err != nil {
		return 0, err
	}
	return id, t.exec("INSERT INTO roster (person, crew, site, role, key, at) VALUES ($1, $2, $3, $4, $5, $6)",
		id, p.Crew, p.Site, p.Role, p.Key, micros(p.At))
}

// ownKey refuses a key that is another person's now.
func (p *Person) ownKey(t *tx, id int64) error {
	if p.Key == "" {
		return nil
	}
	var other string
	err := t.one([]any{&other}, `SELECT p.name FROM roster r JOIN person p ON p.id = r.person
		WHERE key <> '' AND r.key = $1 AND r.person <> $2 AND r.id = (SELECT max(n.id) FROM roster n WHERE n.person = r.person)`, p.Key, id)
	if errors.Is(err, sql.ErrNoRows) {
		return nil
	}
	if err == nil {
		err = fmt.Errorf("person: the key of %s is %s's; each person needs a key of their own", p.Name, other)
	}
	return err
}

// AddPerson records what the roster says of a person.
func (s *Store) AddPerson(ctx context.Context, p Person) error {
	_, err := s.add(ctx, &p)
	return err
}

// personID returns the id of a person, who is added when unknown.
func personID(t *tx, name string, at time.Time) (int64, error) {
	var id int64
	err := t.one([]any{&id}, "SELECT id FROM person WHERE fold = $1", Fold(name))
	if !errors.Is(err, sql.ErrNoRows) {
		return id, err
	}
	if err := t.exec("INSERT INTO person (name, fold, at) VALUES ($1, $2, $3) ON CONFLICT (fold) DO NOTHING",
		name, Fold(name), micros(at)); err != nil {
		return 0, err
	}
	err = t.one([]any{&id}, "SELECT id FROM person WHERE fold = $1", Fold(name))
	return id, err
}

// knownID returns the id and the kept spelling of a person, or [ErrNotFound].
func (s *Store) knownID(ctx context.Context, q querier, name string) (int64, string, error) {
	clean, err := Name(name)
	if err != nil {
		return 0, "", err
	}
	var id int64
	err = q.QueryRowContext(ctx, "SELECT id, name FROM person WHERE fold = $1", Fold(clean)).Scan(&id, &clean)
	if errors.Is(err, sql.ErrNoRows) {
		return 0, "", fmt.Errorf("person %q: %w", clean, ErrNotFound)
	}
	return id, clean, s.d.explain(err)
}

const personColumns = `p.name, coalesce(r.crew, ''), coalesce(r.site, '` + DefaultSite + `'),
	coalesce(r.role, '` + Learner + `'), coalesce(r.key, ''), coalesce(r.at, p.at)`

const personTables = ` FROM person p LEFT JOIN roster r
	ON r.id = (SELECT max(n.id) FROM roster n WHERE n.person = p.id)`

func scanPerson(scan func(...any) error, more ...any) (Person, error) {
	var p Person
	var at int64
	err := scan(append([]any{&p.Name, &p.Crew, &p.Site, &p.Role, &p.Key, &at}, more...)...)
	p.At = moment(at)
	return p, err
}

// Person returns what the roster says of a person now, or [ErrNotFound].
func (s *Store) Person(ctx context.Context, name string) (Person, error) {
	id, _, err := s.knownID(ctx, s.db, name)
	if err != nil {
		return Person{}, err
	}
	p, err := scanPerson(s.db.QueryRowContext(ctx, "SELECT "+personColumns+personTables+" WHERE p.id = $1", id).Scan)
	return p, s.d.explain(err)
}

// PersonByKey returns the person whose present SSH key is key, or [ErrNotFound].
func (s *Store) PersonByKey(ctx context.Context, key string) (Person, error) {
	p, err := scanPerson(s.db.QueryRowContext(ctx, "SELECT "+personColumns+personTables+
		" WHERE key <> '' AND r.key = $1 ORDER BY p.id LIMIT 1", key).Scan)
	if errors.Is(err, sql.ErrNoRows) {
		return p, fmt.Errorf("key: %w", ErrNotFound)
	}
	return p, s.d.explain(err)
}

// PeopleFilter says which people to list. Empty fields hold for everyone.
type PeopleFilter struct {
	Crew, Site string
	After      string // people whose name comes after this one
}

func (w PeopleFilter) filter() *filter {
	f := &filter{}
	if w.Crew != "" {
		f.and("r.crew = %s", w.Crew)
	}
	if w.Site != "" {
		f.and("coalesce(r.site, '"+DefaultSite+"') = %s", w.Site)
	}
	if w.After != "" {
		f.and("p.fold > %s", Fold(w.After))
	}
	return f
}

// People lists people by name, at most limit of them (0: 100, at most 1000).
func (s *Store) People(ctx context.Context, w PeopleFilter, limit int) ([]Person, error) {
	f := w.filter()
	query := "SELECT " + personColumns + personTables + f.sql() + " ORDER BY p.fold" + f.limit(Page{Limit: limit}.limit())
	var list []Person
	err := s.rows(ctx, s.db, query, f.args, func(r *sql.Rows) error {
		p, err := scanPerson(r.Scan)
		list = append(list, p)
		return err
	})
	return list, err
}
