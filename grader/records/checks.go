package records

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"
)

// Limits on what one row holds. Errors name them.
const (
	MaxName = 100     // characters in a name of a person
	MaxWord = 200     // bytes in an id, a crew, a site
	MaxText = 1 << 20 // bytes in a program, in findings, in a practice log
)

// Word returns an error when s can't be kept as a crew, a site or the like,
// which may be empty; what names it in the error.
func Word(what, s string) error {
	var c checks
	c.word(what, s, true)
	return errors.Join(c.errs...)
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
