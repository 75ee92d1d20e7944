// Package codes makes and checks the one-time codes that let a learner in who
// has no key: twelve characters such as K7Q2-M9XW-4TPD, of which the first four
// are a label that finds the code and the other eight, 40 random bits, are
// secret.
//
// Only a hash is kept (bcrypt, N. Provos and D. Mazieres, "A Future-Adaptable
// Password Scheme", USENIX 1999), which compares in constant time. A check of a
// label that nobody has takes as long as one of a label that somebody has. Using
// a code up is the records' affair; limiting how often one may try, the door's.
package codes

import (
	"errors"
	"fmt"
	"io"
	"strings"

	"golang.org/x/crypto/bcrypt"

	"posework/grader/records"
)

// letters are those of D. Crockford's base 32: none of I, L, O and U, which are
// taken for 1, 1, 0 and V.
const letters = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"

const (
	labelLen = 4
	wholeLen = 12
	group    = 4
)

// The cost is the work of a check, as a power of two: at 10 a check takes some
// 50 ms. Cheap is for tests that check many codes.
const (
	Usual = bcrypt.DefaultCost
	Cheap = bcrypt.MinCost
)

// New makes a code from random bytes, and the row that keeps its hash; the row
// lacks the person and the times.
func New(random io.Reader, cost int) (code string, row records.Code, err error) {
	var b [wholeLen]byte
	if _, err := io.ReadFull(random, b[:]); err != nil {
		return "", row, fmt.Errorf("make a code: %w", err)
	}
	for i := range b {
		b[i] = letters[b[i]%byte(len(letters))] // 32 divides 256: each as likely
	}
	hash, err := bcrypt.GenerateFromPassword(b[:], cost)
	if err != nil {
		return "", row, fmt.Errorf("make a code: %w", err)
	}
	plain := string(b[:])
	return plain[:group] + "-" + plain[group:2*group] + "-" + plain[2*group:], records.Code{Label: plain[:labelLen], Hash: hash}, nil
}

// ErrForm says that what was typed can't be a code.
var ErrForm = errors.New("a code has twelve letters and digits, such as K7Q2-M9XW-4TPD")

// read returns the characters of a typed code. Case, blanks and hyphens do not
// matter, and the letters that are taken for digits are read as those.
func read(typed string) (string, error) {
	if len(typed) > 4*wholeLen {
		return "", ErrForm
	}
	code := strings.NewReplacer(" ", "", "-", "", "O", "0", "I", "1", "L", "1").Replace(strings.ToUpper(typed))
	if len(code) != wholeLen || strings.Trim(code, letters) != "" {
		return "", ErrForm
	}
	return code, nil
}

// Label is the part of a typed code by which it is found.
func Label(typed string) (string, error) {
	code, err := read(typed)
	if err != nil {
		return "", err
	}
	return code[:labelLen], nil
}

// Match returns the one of the codes that was typed, nil where none was.
func (c *Checker) Match(typed string, among []records.Code) *records.Code {
	code, err := read(typed)
	if err != nil {
		code = strings.Repeat("0", wholeLen)
		among = nil
	}
	if len(among) == 0 {
		_ = bcrypt.CompareHashAndPassword(c.nobody, []byte(code))
		return nil
	}
	for i := range among {
		if bcrypt.CompareHashAndPassword(among[i].Hash, []byte(code)) == nil {
			return &among[i]
		}
	}
	return nil
}

// Checker checks codes.
type Checker struct{ nobody []byte }

// NewChecker returns a checker of codes that were made at a cost.
func NewChecker(cost int) (*Checker, error) {
	hash, err := bcrypt.GenerateFromPassword([]byte("nobody has this code"), cost)
	if err != nil {
		return nil, fmt.Errorf("check codes: %w", err)
	}
	return &Checker{nobody: hash}, nil
}
