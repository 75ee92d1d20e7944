package page

import (
	"unicode/utf8"

	"posework/engine/diag"
)

// visible is a text without what would not be seen, see [diag.Visible].
func visible(s string) string { return diag.Visible(s) }

// shorter cuts a text that is longer than most characters and says so.
func shorter(s string, most int) string {
	if utf8.RuneCountInString(s) <= most {
		return s
	}
	r := []rune(s)
	return string(r[:most-1]) + "…"
}
