package codes

import (
	"bytes"
	"crypto/rand"
	"errors"
	"regexp"
	"strings"
	"testing"

	"posework/grader/records"
)

func TestCodes(t *testing.T) {
	c, err := NewChecker(Cheap)
	if err != nil {
		t.Fatal(err)
	}
	code, row, err := New(rand.Reader, Cheap)
	if err != nil {
		t.Fatal(err)
	}
	if !regexp.MustCompile(`^[0-9A-HJKMNP-TV-Z]{4}(-[0-9A-HJKMNP-TV-Z]{4}){2}$`).MatchString(code) || row.Label != code[:4] {
		t.Errorf("code %s, label %s", code, row.Label)
	}
	if bytes.Contains(row.Hash, []byte(strings.ReplaceAll(code, "-", ""))) || bytes.Contains(row.Hash, []byte(code[5:9])) {
		t.Errorf("the hash %s tells the code %s", row.Hash, code)
	}
	other, row2, err := New(rand.Reader, Cheap)
	if err != nil || other == code {
		t.Fatalf("%s twice, %v", code, err)
	}
	among := []records.Code{row2, row}
	for _, typed := range []string{code, strings.ToLower(code), " " + strings.ReplaceAll(code, "-", " "), strings.ReplaceAll(code, "-", "")} {
		if got := c.Match(typed, among); got != &among[1] {
			t.Errorf("Match(%q) = %v", typed, got)
		}
		if label, err := Label(typed); err != nil || label != row.Label {
			t.Errorf("Label(%q) = %s, %v", typed, label, err)
		}
	}
	// A letter that is taken for a digit is read as one.
	zeros, row3, err := New(bytes.NewReader(make([]byte, 12)), Cheap)
	if err != nil || zeros != "0000-0000-0000" {
		t.Fatal(zeros, err)
	}
	if c.Match("oOoo-0000-0000", []records.Code{row3}) == nil {
		t.Error("the letter O is not read as 0")
	}
	wrong := code[:len(code)-1] + string(letters[(strings.IndexByte(letters, code[len(code)-1])+1)%32])
	for _, typed := range []string{wrong, "", "K7Q2", "U000-0000-0000", strings.Repeat("0", 1<<20), "\x1b[2J0000-0000"} {
		if got := c.Match(typed, among); got != nil {
			t.Errorf("Match(%.20q) lets in by %v", typed, got)
		}
	}
	if _, err := Label("U000-0000-0000"); !errors.Is(err, ErrForm) {
		t.Errorf("Label of what is no code: %v", err)
	}
	if _, _, err := New(strings.NewReader("short"), Cheap); err == nil {
		t.Error("a code is made of too few random bytes")
	}
}

// BenchmarkMatch shows that a label nobody has takes as long as one that
// somebody has.
func BenchmarkMatch(b *testing.B) {
	c, err := NewChecker(Usual)
	if err != nil {
		b.Fatal(err)
	}
	_, row, err := New(rand.Reader, Usual)
	if err != nil {
		b.Fatal(err)
	}
	for name, among := range map[string][]records.Code{"label=known": {row}, "label=unknown": nil} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				c.Match("0000-0000-0000", among)
			}
		})
	}
}
