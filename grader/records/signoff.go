package records

import (
	"context"
	"crypto/rand"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"time"
)

// SignOff is one refresher that a person has worked through and signed by typing
// their name.
type SignOff struct {
	Person   string
	Typed    string // the name as typed: the person's; in a correction, of who corrects
	Deck     string // what was refreshed: id of a deck, or "refresher" for a mixed one
	Course   string // version of the course
	Asked    []string
	Missed   []string // at the first try
	Points   float64  // 0 to 100
	Needed   float64  // pass mark, 0 to 100; reached is passed
	Corrects int64    // place of the sign-off that this one replaces, 0 for none
	Note     string   // why, when it is a correction; erased with the person
	At       time.Time

	// Set when it is recorded.
	Site  string // the person's site then
	Place int64
	Hash  Hash
	Crew  string // the person's crew then
}

// Passed tells whether the pass mark was reached.
func (o *SignOff) Passed() bool { return o.Points >= o.Needed }

// detail is the part of an entry that is kept as JSON.
type detail struct {
	Asked  []string `json:"asked,omitempty"`
	Missed []string `json:"missed,omitempty"`
	Erased []int64  `json:"erased,omitempty"` // places whose signer was erased
}

func (o *SignOff) check() error {
	var c checks
	c.person(&o.Person)
	c.free("typed name", &o.Typed)
	if o.Typed == "" {
		c.errs = append(c.errs, errors.New("typed name is empty"))
	} else if o.Corrects == 0 && !SameName(o.Typed, o.Person) {
		c.errs = append(c.errs, fmt.Errorf("the typed name is %q, but %q worked through it; type the name as it stands there", o.Typed, o.Person))
	}
	c.free("note", &o.Note)
	c.word("deck", o.Deck, false)
	c.word("course", o.Course, true)
	for _, q := range o.Asked {
		c.word("question", q, false)
	}
	for _, q := range o.Missed {
		c.word("question", q, false)
	}
	c.points("points", &o.Points)
	c.points("pass mark", &o.Needed)
	c.time(o.At)
	return c.err("sign-off")
}

func (o *SignOff) insert(t *tx) (int64, error) {
	person, err := personID(t, o.Person, o.At)
	if err != nil {
		return 0, err
	}
	g := Signer{Typed: o.Typed, Note: o.Note, deck: o.Deck, salt: make([]byte, len(Hash{}))}
	o.Site = DefaultSite
	err = t.one([]any{&g.Crew, &o.Site}, "SELECT crew, site FROM roster WHERE person = $1 ORDER BY id DESC LIMIT 1", person)
	if err != nil && !errors.Is(err, sql.ErrNoRows) {
		return 0, err
	}
	if err := t.one([]any{&g.Name}, "SELECT name FROM person WHERE id = $1", person); err != nil {
		return 0, err
	}
	if o.Corrects != 0 {
		if err := o.corrected(t, person); err != nil {
			return 0, err
		}
	}
	// The one random thing that is recorded: without it, names could be guessed
	// from the commitment after they were erased. It never fails (Go 1.24).
	rand.Read(g.salt)
	text, err := json.Marshal(detail{Asked: o.Asked, Missed: o.Missed})
	if err != nil {
		return 0, err
	}
	e := Entry{Site: o.Site, Kind: kindSignOff, Deck: o.Deck, Course: o.Course, Points: o.Points, Needed: o.Needed, Passed: o.Passed(),
		Corrects: o.Corrects, Detail: string(text), At: o.At, Commitment: g.commitment()}
	if err := e.link(t); err != nil {
		return 0, err
	}
	o.Place, o.Hash, o.Crew = e.Place, e.Hash, g.Crew
	return e.ID, t.exec("INSERT INTO signer (chain, person, deck, name, typed, crew, note, salt) VALUES ($1, $2, $3, $4, $5, $6, $7, $8)",
		e.ID, person, g.deck, g.Name, g.Typed, g.Crew, g.Note, g.salt)
}

// corrected checks the sign-off that o replaces.
func (o *SignOff) corrected(t *tx, person int64) error {
	var ofPerson sql.NullInt64
	var by int64
	err := t.one([]any{&ofPerson, &by}, `SELECT g.person, (SELECT coalesce(max(d.place), 0) FROM chain d WHERE d.site = c.site AND d.corrects = c.place AND d.corrects > 0)
		FROM chain c LEFT JOIN signer g ON g.chain = c.id WHERE c.site = $1 AND c.place = $2`, o.Site, o.Corrects)
	switch {
	case errors.Is(err, sql.ErrNoRows):
		return fmt.Errorf("sign-off %d of site %s, which is to be corrected: %w", o.Corrects, o.Site, ErrNotFound)
	case err != nil:
		return err
	case !ofPerson.Valid || ofPerson.Int64 != person:
		return fmt.Errorf("sign-off %d of site %s is not %s's", o.Corrects, o.Site, o.Person)
	case by != 0:
		return fmt.Errorf("sign-off %d of site %s was corrected by %d already; correct that one", o.Corrects, o.Site, by)
	}
	return nil
}

// AddSignOff records a sign-off and returns where its site's chain ends now.
func (s *Store) AddSignOff(ctx context.Context, o SignOff) (Head, error) {
	if _, err := s.add(ctx, &o); err != nil {
		return Head{}, err
	}
	return Head{Site: o.Site, Place: o.Place, Hash: o.Hash}, nil
}

// Entries lists the entries of a site's chain, or of all when site is empty, in
// the order in which they were made; Page.After is an Entry's ID.
func (s *Store) Entries(ctx context.Context, site string, page Page) ([]Entry, error) {
	f := &filter{}
	if site != "" {
		f.and("c.site = %s", site)
	}
	return s.entries(ctx, s.db, "SELECT "+entryColumns+f.page("c.id", page), f)
}

// SignOffs lists a person's sign-offs; Page.After is an Entry's ID.
func (s *Store) SignOffs(ctx context.Context, person string, page Page) ([]Entry, error) {
	id, _, err := s.knownID(ctx, s.db, person)
	if err != nil {
		return nil, err
	}
	f := &filter{}
	f.and("g.person = %s", id)
	return s.entries(ctx, s.db, "SELECT "+entryColumns+f.page("g.chain", page), f)
}

func (s *Store) entries(ctx context.Context, q querier, query string, f *filter) ([]Entry, error) {
	var list []Entry
	err := s.rows(ctx, q, query, f.args, func(r *sql.Rows) error {
		e, err := scanEntry(r)
		list = append(list, e)
		return err
	})
	return list, err
}

// Signed is a person and the newest sign-off that they passed and that was not
// corrected since.
type Signed struct {
	Person Person
	Ever   bool // whether there is one
	Site   string
	Place  int64
	Deck   string
	At     time.Time
}

// SignedFilter says for whom to ask, and about what.
type SignedFilter struct {
	PeopleFilter
	Deck  string  // "" for any
	Least float64 // points that it needs to count, whatever pass mark it was signed with
	// Due, when not zero, leaves out people whose newest sign-off lies at it or
	// later, but not after Now: who signed later than now did so by a wrong clock.
	Due, Now time.Time
}

// Signed lists people by name with their newest sign-off, at most limit of them
// (0: 100, at most 1000).
func (s *Store) Signed(ctx context.Context, w SignedFilter, limit int) ([]Signed, error) {
	f := w.filter()
	deck := ""
	if w.Deck != "" {
		f.args = append(f.args, w.Deck)
		deck = fmt.Sprintf(" AND g.deck = $%d", len(f.args))
	}
	if !w.Due.IsZero() {
		f.args = append(f.args, micros(w.Due), micros(w.Now))
		f.where = append(f.where, fmt.Sprintf("(c.at IS NULL OR c.at < $%d OR c.at > $%d)", len(f.args)-1, len(f.args)))
	}
	f.args = append(f.args, w.Least)
	least := fmt.Sprintf(" AND d.points >= $%d", len(f.args))
	query := "SELECT " + personColumns + ", c.site, c.place, c.deck, c.at" + personTables + `
		LEFT JOIN chain c ON c.id = (SELECT d.id FROM signer g JOIN chain d ON d.id = g.chain
			WHERE g.person = p.id AND d.passed = 1` + deck + least + ` AND NOT EXISTS (
				SELECT 1 FROM chain b WHERE b.site = d.site AND b.corrects = d.place AND b.corrects > 0)
			ORDER BY g.chain DESC LIMIT 1)` + f.sql() + " ORDER BY p.fold" + f.limit(Page{Limit: limit}.limit())
	var list []Signed
	err := s.rows(ctx, s.db, query, f.args, func(r *sql.Rows) error {
		var site, deck sql.NullString
		var place, at sql.NullInt64
		p, err := scanPerson(r.Scan, &site, &place, &deck, &at)
		one := Signed{Person: p, Ever: at.Valid, Site: site.String, Place: place.Int64, Deck: deck.String}
		if at.Valid {
			one.At = moment(at.Int64)
		}
		list = append(list, one)
		return err
	})
	return list, err
}
