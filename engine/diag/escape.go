package diag

import (
	"bytes"
	"fmt"
	"io"
	"unicode/utf16"
	"unicode/utf8"
)

// Escaped returns a writer that passes JSON on to w, with the characters that
// [Visible] would write out as escapes of JSON: a program that reads it gets the
// same text, and a terminal that it is shown on no orders. What is written at once
// holds whole characters, as a value from encoding/json does.
func Escaped(w io.Writer) io.Writer { return escaper{w} }

type escaper struct{ w io.Writer }

// Write writes p with its escapes.
func (e escaper) Write(p []byte) (int, error) {
	out := p
	if bytes.IndexFunc(p, unseen) >= 0 {
		out = escape(p)
	}
	if _, err := e.w.Write(out); err != nil {
		return 0, err
	}
	return len(p), nil
}

// unseen reports whether a character of JSON is to be escaped. Below U+0020 there
// are only the line ends and indents between its values: encoding/json has escaped
// the others. What is no text is U+FFFD here.
func unseen(r rune) bool { return r >= ' ' && hidden(r) || r == utf8.RuneError }

func escape(p []byte) []byte {
	var out []byte
	for len(p) > 0 {
		r, n := utf8.DecodeRune(p)
		switch high, low := utf16.EncodeRune(r); {
		case !unseen(r):
			out = append(out, p[:n]...)
		case high != utf8.RuneError:
			out = fmt.Appendf(out, `\u%04x\u%04x`, high, low)
		default:
			out = fmt.Appendf(out, `\u%04x`, r)
		}
		p = p[n:]
	}
	return out
}
