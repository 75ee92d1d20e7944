package records

import (
	"errors"
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/cases"
	"golang.org/x/text/unicode/norm"
)

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

// SameName tells whether two spellings name the same person: spaces and case
// make no difference.
func SameName(a, b string) bool {
	a, err := Name(a)
	b, err2 := Name(b)
	return err == nil && err2 == nil && Fold(a) == Fold(b)
}
