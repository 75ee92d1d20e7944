package records

import (
	"context"
	"crypto/hmac"
	"crypto/sha256"
	"database/sql"
	"encoding/binary"
	"encoding/hex"
	"errors"
	"fmt"
	"hash"
	"math"
	"strconv"
	"strings"
	"time"
)

// Hash is a SHA-256 digest.
type Hash [sha256.Size]byte

// String returns the digest in hexadecimal.
func (h Hash) String() string { return hex.EncodeToString(h[:]) }

// Head says where a site's chain ends: what is worth publishing.
type Head struct {
	Site  string
	Place int64 // of the last entry; 0 for an empty chain
	Hash  Hash
}

// String returns "PLACE HASH SITE".
func (h Head) String() string { return fmt.Sprintf("%d %s %s", h.Place, h.Hash, h.Site) }

// ParseHead reads what [Head.String] wrote.
func ParseHead(s string) (Head, error) {
	var h Head
	place, rest, _ := strings.Cut(strings.TrimSpace(s), " ")
	sum, site, _ := strings.Cut(rest, " ")
	n, err := strconv.ParseInt(place, 10, 64)
	digest, err2 := hex.DecodeString(sum)
	if err != nil || err2 != nil || n < 0 || len(digest) != len(h.Hash) || site == "" {
		return h, fmt.Errorf("head %q can't be read; write the line that posework records head printed", s)
	}
	h.Site, h.Place = site, n
	copy(h.Hash[:], digest)
	return h, nil
}

// The kinds of entries.
const (
	kindSignOff = "sign-off"
	kindErasure = "erasure"
)

// Entry is one link of a site's chain. Its hash covers all its fields but the
// signer, and the hash of the entry before it, so that an altered, removed or
// moved entry shows. The signer is personal and lies outside, in a row that can
// be erased; the commitment (HMAC-SHA-256 over the signer, keyed with a random
// salt that is erased with it) ties it to the entry.
//
// The chain can't prove everything. Who can write to the database can compute
// the whole chain anew from a changed entry on, or cut entries off its end and
// set the head back; both show only against a head that was published before,
// on paper or in a mail, where that person can't change it. Nor does it prove
// that the one who typed the name was the person.
type Entry struct {
	ID         int64 // of the row; not hashed
	Site       string
	Place      int64 // in the site's chain, from 1
	Kind       string
	Deck       string
	Course     string
	Points     float64
	Needed     float64
	Passed     bool
	Corrects   int64  // place of the entry that this one replaces, 0 for none
	Detail     string // JSON: questions asked and missed, places erased
	At         time.Time
	Commitment Hash
	Prev       Hash
	Hash       Hash
	Signer     *Signer // nil when erased, and for erasures
}

// Signer is the personal part of a sign-off.
type Signer struct {
	Name  string
	Typed string // the name as typed
	Crew  string // at that time
	Note  string // why, when it is a correction
	deck  string
	salt  []byte
	of    string // name of the person for whom it counts: Name, unless one of them was altered
}

// digest writes fields so that no two lists of fields give the same bytes.
type digest struct{ hash.Hash }

func (d digest) text(s string) {
	d.int(int64(len(s)))
	d.Write([]byte(s))
}

func (d digest) int(n int64) {
	var b [8]byte
	binary.BigEndian.PutUint64(b[:], uint64(n))
	d.Write(b[:])
}

// sum computes what Hash must be.
func (e *Entry) sum() Hash {
	d := digest{sha256.New()}
	d.text("posework chain 1")
	d.text(e.Site)
	d.int(e.Place)
	d.text(e.Kind)
	d.text(e.Deck)
	d.text(e.Course)
	d.int(int64(math.Float64bits(e.Points)))
	d.int(int64(math.Float64bits(e.Needed)))
	d.int(int64(bit(e.Passed)))
	d.int(e.Corrects)
	d.text(e.Detail)
	d.int(micros(e.At))
	d.text(string(e.Commitment[:]))
	d.text(string(e.Prev[:]))
	return Hash(d.Sum(nil))
}

// commitment computes what Commitment must be.
func (s *Signer) commitment() Hash {
	d := digest{hmac.New(sha256.New, s.salt)}
	d.text("posework signer 1")
	d.text(s.deck)
	d.text(s.Name)
	d.text(s.Typed)
	d.text(s.Crew)
	d.text(s.Note)
	return Hash(d.Sum(nil))
}

// link appends e to the chain of its site: it sets Place, Prev and Hash.
func (e *Entry) link(t *tx) error {
	if err := t.d.alone(t); err != nil {
		return err
	}
	var head []byte
	err := t.one([]any{&e.Place, &head}, "SELECT places, head FROM site WHERE name = $1", e.Site)
	switch {
	case errors.Is(err, sql.ErrNoRows):
		e.Place, head = 0, make([]byte, len(Hash{}))
		if err := t.exec("INSERT INTO site (name, places, head) VALUES ($1, 0, $2)", e.Site, head); err != nil {
			return err
		}
	case err != nil:
		return err
	}
	e.Place++
	e.Prev = Hash(head)
	e.Hash = e.sum()
	e.ID, err = t.id(`INSERT INTO chain (site, place, kind, deck, course, points, needed, passed, corrects, detail, at, commitment, prev, hash)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14) RETURNING id`,
		e.Site, e.Place, e.Kind, e.Deck, e.Course, e.Points, e.Needed, bit(e.Passed), e.Corrects, e.Detail, micros(e.At),
		e.Commitment[:], e.Prev[:], e.Hash[:])
	if err != nil {
		return err
	}
	return t.exec("UPDATE site SET places = $1, head = $2 WHERE name = $3", e.Place, e.Hash[:], e.Site)
}

const entryColumns = `c.id, c.site, c.place, c.kind, c.deck, c.course, c.points, c.needed, c.passed, c.corrects, c.detail, c.at,
	c.commitment, c.prev, c.hash, g.deck, g.name, g.typed, g.crew, g.note, g.salt, p.name
	FROM chain c LEFT JOIN signer g ON g.chain = c.id LEFT JOIN person p ON p.id = g.person`

func scanEntry(r *sql.Rows) (Entry, error) {
	var e Entry
	var passed int
	var at int64
	var commitment, prev, sum, salt []byte
	var deck, name, typed, crew, note, of sql.NullString
	err := r.Scan(&e.ID, &e.Site, &e.Place, &e.Kind, &e.Deck, &e.Course, &e.Points, &e.Needed, &passed, &e.Corrects, &e.Detail, &at,
		&commitment, &prev, &sum, &deck, &name, &typed, &crew, &note, &salt, &of)
	e.Passed, e.At = passed == 1, moment(at)
	// A digest of another length was altered; what is copied differs then.
	copy(e.Commitment[:], commitment)
	copy(e.Prev[:], prev)
	copy(e.Hash[:], sum)
	if name.Valid {
		e.Signer = &Signer{Name: name.String, Typed: typed.String, Crew: crew.String, Note: note.String, deck: deck.String, salt: salt, of: of.String}
	}
	return e, err
}

// Heads returns where each site's chain ends, by site.
func (s *Store) Heads(ctx context.Context) ([]Head, error) { return s.heads(ctx, s.db) }

func (s *Store) heads(ctx context.Context, q querier) ([]Head, error) {
	var list []Head
	err := s.rows(ctx, q, "SELECT name, places, head FROM site ORDER BY name", nil, func(r *sql.Rows) error {
		var h Head
		var sum []byte
		err := r.Scan(&h.Site, &h.Place, &sum)
		copy(h.Hash[:], sum)
		list = append(list, h)
		return err
	})
	return list, err
}
