package records

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"time"
)

// Kept says how much of one kind is stored about a person, and from when.
type Kept struct {
	Kind        string // "roster entries", "attempts", ...
	Count       int
	First, Last time.Time // by their own time; zero when there is none
}

// About is what is stored about a person.
type About struct {
	Person Person
	Roster []Person // all that the roster ever said, oldest first
	Kept   []Kept
}

// keptTables lists what holds personal data, in the order in which it can be
// erased.
var keptTables = [...]struct{ kind, query, erase string }{
	{"attempts", "SELECT count(*), min(at), max(at) FROM attempt WHERE person = $1", "DELETE FROM attempt WHERE person = $1"},
	{"quiz answers", "SELECT count(*), min(at), max(at) FROM answer WHERE person = $1", "DELETE FROM answer WHERE person = $1"},
	{"practice logs", "SELECT count(*), min(at), max(at) FROM practice WHERE person = $1", "DELETE FROM practice WHERE person = $1"},
	{"sign-offs", "SELECT count(*), min(c.at), max(c.at) FROM signer g JOIN chain c ON c.id = g.chain WHERE g.person = $1", "DELETE FROM signer WHERE person = $1"},
	{"codes used", "SELECT count(*), min(at), max(at) FROM code_use WHERE person = $1", "DELETE FROM code_use WHERE person = $1"},
	{"one-time codes", "SELECT count(*), min(at), max(at) FROM code WHERE person = $1", "DELETE FROM code WHERE person = $1"},
	{"rulings", "SELECT count(*), min(at), max(at) FROM ruling WHERE person = $1", "DELETE FROM ruling WHERE person = $1"},
	{"sums by lesson", "SELECT count(*), min(last), max(last) FROM progress WHERE person = $1", "DELETE FROM progress WHERE person = $1"},
	{"roster entries", "SELECT count(*), min(at), max(at) FROM roster WHERE person = $1", "DELETE FROM roster WHERE person = $1"},
	{"name", "SELECT count(*), min(at), max(at) FROM person WHERE id = $1", "DELETE FROM person WHERE id = $1"},
}

// About returns what is stored about a person, or [ErrNotFound]. The rows
// themselves are listed by [Store.Attempts], [Store.Answers], [Store.Practices]
// and [Store.SignOffs].
func (s *Store) About(ctx context.Context, name string) (About, error) {
	var a About
	t, err := s.d.snapshot(ctx, s.db)
	if err != nil {
		return a, s.d.explain(err)
	}
	defer t.Rollback()
	id, name, err := s.knownID(ctx, t, name)
	if err != nil {
		return a, err
	}
	if a.Person, err = scanPerson(t.QueryRowContext(ctx, "SELECT "+personColumns+personTables+" WHERE p.id = $1", id).Scan); err != nil {
		return a, s.d.explain(err)
	}
	err = s.rows(ctx, t, "SELECT crew, site, role, key, at FROM roster WHERE person = $1 ORDER BY id", []any{id}, func(r *sql.Rows) error {
		p := Person{Name: name}
		var at int64
		err := r.Scan(&p.Crew, &p.Site, &p.Role, &p.Key, &at)
		p.At = moment(at)
		a.Roster = append(a.Roster, p)
		return err
	})
	if err != nil {
		return a, err
	}
	for _, k := range keptTables {
		kept := Kept{Kind: k.kind}
		var first, last sql.NullInt64
		if err := t.QueryRowContext(ctx, k.query, id).Scan(&kept.Count, &first, &last); err != nil {
			return a, s.d.explain(err)
		}
		if kept.Count > 0 {
			kept.First, kept.Last = moment(first.Int64), moment(last.Int64)
		}
		a.Kept = append(a.Kept, kept)
	}
	return a, nil
}

// Forget erases all that is stored about a person: name, roster entries,
// attempts, answers, practice logs, and the signers of their sign-offs. The
// entries in the chains stay, without a trace of who signed; a new entry in each
// of these chains, at the time at, says which signers were erased. It returns
// what was erased.
//
// Copies elsewhere are not reached: backups, exports, statements sent to a
// learning record store, and on PostgreSQL the server's archived logs.
func (s *Store) Forget(ctx context.Context, name string, at time.Time) (About, error) {
	a, err := s.About(ctx, name)
	if err != nil {
		return a, err
	}
	if at.IsZero() {
		return a, fmt.Errorf("forget %s: time is not given", a.Person.Name)
	}
	err = s.d.write(ctx, func(t *tx) error { return s.erase(t, a.Person.Name, at) })
	if err != nil {
		return a, err
	}
	if err := s.d.scrub(ctx); err != nil {
		return a, fmt.Errorf("%s is forgotten, but traces may be left in the database's files until it is next tidied: %w", a.Person.Name, s.d.explain(err))
	}
	return a, nil
}

// erase runs the erasure in a transaction.
func (s *Store) erase(t *tx, name string, at time.Time) error {
	// Nobody may sign between the list of places and the deletion.
	if err := s.d.alone(t); err != nil {
		return err
	}
	var id int64
	err := t.one([]any{&id}, "SELECT id FROM person WHERE fold = $1", Fold(name))
	if errors.Is(err, sql.ErrNoRows) {
		return fmt.Errorf("person %q: %w", name, ErrNotFound) // someone else was faster
	}
	if err != nil {
		return err
	}
	places, sites, err := s.signedPlaces(t, id)
	if err != nil {
		return err
	}
	for _, site := range sites {
		text, err := json.Marshal(detail{Erased: places[site]})
		if err != nil {
			return err
		}
		e := Entry{Site: site, Kind: kindErasure, Detail: string(text), At: at}
		if err := e.link(t); err != nil {
			return err
		}
	}
	if err := t.exec("INSERT INTO erasing (person) VALUES ($1)", id); err != nil {
		return err
	}
	for _, k := range keptTables {
		if err := t.exec(k.erase, id); err != nil {
			return err
		}
	}
	return t.exec("DELETE FROM erasing WHERE person = $1", id)
}

// signedPlaces returns where a person signed: places by site, and the sites.
func (s *Store) signedPlaces(t *tx, person int64) (map[string][]int64, []string, error) {
	places := map[string][]int64{}
	var sites []string
	err := s.rows(t.ctx, t.q, "SELECT c.site, c.place FROM signer g JOIN chain c ON c.id = g.chain WHERE g.person = $1 ORDER BY c.site, c.place",
		[]any{person}, func(r *sql.Rows) error {
			var site string
			var place int64
			err := r.Scan(&site, &place)
			if len(sites) == 0 || sites[len(sites)-1] != site {
				sites = append(sites, site)
			}
			places[site] = append(places[site], place)
			return err
		})
	return places, sites, err
}
