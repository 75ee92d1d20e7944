package records

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/cases"
	"golang.org/x/text/unicode/norm"
)

// Limits on what one row holds. Errors name them.
const (
	MaxName = 100     // characters in a name of a person
	MaxWord = 200     // bytes in an id, a crew, a site
	MaxText = 1 << 20 // bytes in a program, in findings, in a practice log
)

// Row is something that can be recorded: a [Person], an [Attempt], an [Answer],
// a [Practice], a [SignOff], a [Code] or a [Ruling].
type Row interface {
	// check refuses what must not be kept.
	check() error
	// insert writes the row and returns its id.
	insert(t *tx, s *Store) (int64, error)
}

// Add records all rows, or none of them when it returns an error, and returns
// their ids. A person who is not known yet is added. What is unset in a row and
// has a default is set. A context that ends before the write begins stops it, one
// that ends later does not.
func (s *Store) Add(ctx context.Context, rows ...Row) ([]int64, error) {
	for _, r := range rows {
		if err := r.check(); err != nil {
			return nil, err
		}
	}
	ids := make([]int64, len(rows))
	err := s.d.write(ctx, func(t *tx) error {
		for i, r := range rows {
			id, err := r.insert(t, s)
			if err != nil {
				return err
			}
			ids[i] = id
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	return ids, nil
}

// add records one row.
func (s *Store) add(ctx context.Context, r Row) (int64, error) {
	ids, err := s.Add(ctx, r)
	if err != nil {
		return 0, err
	}
	return ids[0], nil
}

// Name returns a person's name as it is kept: composed (Unicode NFC), with
// single spaces. It refuses names that are empty, too long, or hold characters
// that are not seen, such as those that move the cursor or turn the direction of
// writing: names are shown to others.
func Name(s string) (string, error) {
	if !utf8.ValidString(s) {
		return "", errors.New("name is not valid UTF-8; save the text as UTF-8")
	}
	s = strings.Join(strings.Fields(norm.NFC.String(s)), " ")
	if s == "" {
		return "", errors.New("name is empty")
	}
	if n := utf8.RuneCountInString(s); n > MaxName {
		return "", fmt.Errorf("name has %d characters, but at most %d are kept", n, MaxName)
	}
	for _, r := range s {
		// The two joiners are part of the spelling in several scripts.
		if r != ' ' && !unicode.IsGraphic(r) && r != '\u200c' && r != '\u200d' {
			return "", fmt.Errorf("name holds the character %U, which is not seen; remove it", r)
		}
	}
	return s, nil
}

// Fold returns a name, as [Name] gives it, without differences of case, for
// comparing.
func Fold(name string) string { return cases.Fold().String(name) }

// Word returns an error when s can't be kept as a crew, a site or the like,
// which may be empty; what names it in the error.
func Word(what, s string) error {
	var c checks
	c.word(what, s, true)
	return errors.Join(c.errs...)
}

// SameName tells whether two spellings name the same person: spaces and case
// make no difference.
func SameName(a, b string) bool {
	a, err := Name(a)
	b, err2 := Name(b)
	return err == nil && err2 == nil && Fold(a) == Fold(b)
}

// checks collects what is wrong with a row.
type checks struct{ errs []error }

func (c *checks) person(name *string) {
	n, err := Name(*name)
	c.errs = append(c.errs, err)
	*name = n
}

// word checks an id or another short text without invisible characters.
func (c *checks) word(what, s string, mayBeEmpty bool) {
	switch {
	case s == "" && !mayBeEmpty:
		c.errs = append(c.errs, fmt.Errorf("%s is empty", what))
	case len(s) > MaxWord:
		c.errs = append(c.errs, fmt.Errorf("%s has %d bytes, but at most %d are kept", what, len(s), MaxWord))
	case !utf8.ValidString(s):
		c.errs = append(c.errs, fmt.Errorf("%s is not valid UTF-8", what))
	case strings.ContainsFunc(s, func(r rune) bool { return r != ' ' && !unicode.IsGraphic(r) }):
		c.errs = append(c.errs, fmt.Errorf("%s %q holds a character that is not seen", what, s))
	}
}

func (c *checks) text(what string, n int) {
	if n > MaxText {
		c.errs = append(c.errs, fmt.Errorf("%s has %d bytes, but at most %d are kept", what, n, MaxText))
	}
}

func (c *checks) json(what string, j *json.RawMessage, empty string) {
	if len(*j) == 0 {
		*j = json.RawMessage(empty)
	}
	c.text(what, len(*j))
	if !json.Valid(*j) || !utf8.Valid(*j) {
		c.errs = append(c.errs, fmt.Errorf("%s is not JSON", what))
	}
}

// free cleans what a person typed: what a database can't keep is left out,
// since nobody's answer may be lost over it.
func (c *checks) free(what string, s *string) {
	*s = strings.ReplaceAll(strings.ToValidUTF8(*s, "\uFFFD"), "\x00", "")
	c.text(what, len(*s))
}

func (c *checks) points(what string, p *float64) {
	if !(*p >= 0 && *p <= 100) { // so written that NaN fails
		c.errs = append(c.errs, fmt.Errorf("%s is %v, but must lie from 0 to 100", what, *p))
		return
	}
	*p = math.Abs(*p) // no -0: it is hashed
}

func (c *checks) time(t time.Time) {
	if t.IsZero() {
		c.errs = append(c.errs, errors.New("time is not given"))
	}
}

func (c *checks) duration(d time.Duration) {
	if d < 0 {
		c.errs = append(c.errs, fmt.Errorf("duration is %v, but must not be negative", d))
	}
}

func (c *checks) err(what string) error {
	if err := errors.Join(c.errs...); err != nil {
		return fmt.Errorf("%s: %w", what, err)
	}
	return nil
}

// Page says which part of a list to return.
type Page struct {
	After  int64 // rows that come after the one with this id; 0 for the first page
	Limit  int   // at most so many rows; 0 means 100, at most 1000
	Newest bool  // newest first, instead of oldest first
}

func (p Page) limit() int {
	switch {
	case p.Limit <= 0:
		return 100
	case p.Limit > 1000:
		return 1000
	}
	return p.Limit
}

// filter builds the WHERE, ORDER BY and LIMIT of a list.
type filter struct {
	where []string
	args  []any
}

// and adds a condition in which %s stands for the argument.
func (f *filter) and(cond string, arg any) {
	f.args = append(f.args, arg)
	f.where = append(f.where, fmt.Sprintf(cond, fmt.Sprintf("$%d", len(f.args))))
}

// page returns the end of a query ordered by the column id.
func (f *filter) page(id string, p Page) string {
	order := " ASC"
	switch {
	case p.Newest:
		order = " DESC"
		if p.After > 0 {
			f.and(id+" < %s", p.After)
		}
	case p.After > 0:
		f.and(id+" > %s", p.After)
	}
	return f.sql() + " ORDER BY " + id + order + f.limit(p.limit())
}

func (f *filter) sql() string {
	if len(f.where) == 0 {
		return ""
	}
	return " WHERE " + strings.Join(f.where, " AND ")
}

func (f *filter) limit(n int) string {
	f.args = append(f.args, n)
	return fmt.Sprintf(" LIMIT $%d", len(f.args))
}
