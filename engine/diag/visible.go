package diag

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// mostMarks is how many marks may sit on one letter: more than any script writes,
// fewer than it takes to paint over the lines above.
const mostMarks = 6

// Visible writes out what would not be seen or would make other text read
// differently: control characters, marks that turn the direction of writing or
// have no width, heaps of accents, bytes that are no text. "a\u202eb" becomes
// "a⟨U+202E⟩b". Letters of every script stay as they are. Names of files and texts
// from strangers are shown through it: on a terminal they could give it orders.
func Visible(s string) string {
	if strings.IndexFunc(s, unusual) < 0 && utf8.ValidString(s) {
		return s
	}
	var b strings.Builder
	marks := 0
	for len(s) > 0 {
		r, n := utf8.DecodeRuneInString(s)
		if unicode.Is(unicode.M, r) {
			marks++
		} else {
			marks = 0
		}
		switch {
		case r == utf8.RuneError && n == 1:
			fmt.Fprintf(&b, "⟨%02X⟩", s[0])
		case hidden(r) || marks > mostMarks:
			fmt.Fprintf(&b, "⟨U+%04X⟩", r)
		default:
			b.WriteRune(r)
		}
		s = s[n:]
	}
	return b.String()
}

func unusual(r rune) bool { return unicode.Is(unicode.M, r) || hidden(r) }

// hidden reports whether a character does not show. The joiners U+200C and
// U+200D are left to the scripts that are written with them: they can't reorder
// anything.
func hidden(r rune) bool {
	switch r {
	case '\u200c', '\u200d':
		return false
	case '\u115f', '\u1160', '\u3164', '\uffa0', '\u2800': // letters without a shape
		return true
	}
	return !unicode.IsGraphic(r)
}
