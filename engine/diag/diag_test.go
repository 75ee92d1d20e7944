package diag

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strings"
	"testing"
)

func at(file string, line, col int) Pos { return Pos{Filename: file, Line: line, Column: col} }

func TestListIsSortedAndWithoutRepeats(t *testing.T) {
	var l List
	l.Add(at("b.yaml", 1, 1), "F001", "", "one")
	l.Add(at("a.yaml", 3, 9), "F002", "try %%", "two %d", 2)
	l.Add(at("a.yaml", 3, 2), "F002", "", "two")
	l.Add(at("a.yaml", 3, 2), "F001", "", "two")
	l.Add(at("a.yaml", 3, 2), "F001", "", "three")
	l.Add(at("b.yaml", 1, 1), "F001", "", "one")
	err := l.Err()
	want := "a.yaml:3:2: three\na.yaml:3:2: two\na.yaml:3:2: two\na.yaml:3:9: two 2; try %%\nb.yaml:1:1: one"
	if err == nil || err.Error() != want {
		t.Errorf("Err() = %v, want\n%s", err, want)
	}
	if err := (List{}).Err(); err != nil {
		t.Errorf("Err() of an empty list = %v, want nil", err)
	}
}

func TestDiagnosticJSON(t *testing.T) {
	d := Diagnostic{Pos: at("a.yaml", 3, 9), Code: "F002", Text: `"x" is bad`, Fix: "try y"}
	data, err := json.Marshal(d)
	if err != nil {
		t.Fatal(err)
	}
	want := `{"file":"a.yaml","line":3,"column":9,"code":"F002","text":"\"x\" is bad","fix":"try y"}`
	if string(data) != want {
		t.Errorf("Marshal = %s, want %s", data, want)
	}
	var back Diagnostic
	if err := json.Unmarshal(data, &back); err != nil || back != d {
		t.Errorf("Unmarshal = %+v, %v, want %+v", back, err, d)
	}
	if err := json.Unmarshal([]byte(`{"line":"x"}`), &back); err == nil {
		t.Error("Unmarshal of a word as line: no error")
	}
}

func TestNearest(t *testing.T) {
	words := []string{"to", "path", "speed", "end", "through", "at-most", "axes", "flipped"}
	tests := []struct{ got, want string }{
		{"speeed", "speed"},
		{"sped", "speed"},
		{"seped", "speed"}, // neighbours swapped
		{"Speed", "speed"},
		{"at_most", "at-most"},
		{"atmost", "at-most"},
		{"thruogh", "through"},
		{"axis", "axes"},
		{"ot", "to"},
		{"velocity", ""},
		{"x", ""},
		{"", ""},
		{"fliped", "flipped"},
	}
	for _, tt := range tests {
		if got := Nearest(tt.got, words); got != tt.want {
			t.Errorf("Nearest(%q) = %q, want %q", tt.got, got, tt.want)
		}
	}
	if got := Nearest("ab", []string{"ac", "bb"}); got != "ac" {
		t.Errorf("of equally near words Nearest took %q, want the first", got)
	}
}

// Worked values: "kitten" to "sitting" is the standard example of the
// Levenshtein distance (3); one swap of neighbours counts 1 in optimal string
// alignment, and "ca" to "abc" counts 3 there (2 in the unrestricted form).
func TestDistance(t *testing.T) {
	tests := []struct {
		a, b string
		want int
	}{
		{"kitten", "sitting", 3}, {"ab", "ba", 1}, {"ca", "abc", 3}, {"", "abc", 3}, {"abc", "abc", 0},
	}
	for _, tt := range tests {
		for most := range 6 {
			got := distance([]rune(tt.a), []rune(tt.b), most)
			if tt.want <= most && got != tt.want || tt.want > most && got <= most {
				t.Errorf("distance(%q, %q, %d) = %d, want %d", tt.a, tt.b, most, got, tt.want)
			}
		}
	}
}

func TestVisible(t *testing.T) {
	tests := []struct{ text, want string }{
		{"Grüße aus Harrow Mere, 8 mm", "Grüße aus Harrow Mere, 8 mm"},
		{"\x1b[2Jgone", "⟨U+001B⟩[2Jgone"},
		{"two\nlines\r", "two⟨U+000A⟩lines⟨U+000D⟩"},
		{"a\u202eb", "a⟨U+202E⟩b"},                                                                  // written from right to left from here on
		{"no\u200bwidth\u3164", "no⟨U+200B⟩width⟨U+3164⟩"},                                          // a space and a letter that don't show
		{"\u0646\u0645\u06cc\u200c\u062e\u0648\u0627\u0647\u0645", "نمی\u200cخواهم"},                // Persian is written with a joiner
		{"e\u0301te\u0301", "e\u0301te\u0301"},                                                      // accents as marks of their own
		{"z" + strings.Repeat("\u0301", 8), "z" + strings.Repeat("\u0301", 6) + "⟨U+0301⟩⟨U+0301⟩"}, // a heap of them
		{"half \xe2\x82 rune", "half ⟨E2⟩⟨82⟩ rune"},
	}
	for _, tt := range tests {
		if got := Visible(tt.text); got != tt.want {
			t.Errorf("Visible(%q) = %q, want %q", tt.text, got, tt.want)
		}
	}
}

func TestReason(t *testing.T) {
	plain := errors.New("plain")
	for _, tt := range []struct{ err, want error }{
		{fmt.Errorf("open it: %w", &fs.PathError{Op: "open", Path: "a.yaml", Err: fs.ErrNotExist}), fs.ErrNotExist},
		{&os.LinkError{Op: "rename", Old: "tmp1", New: "a.yaml", Err: fs.ErrPermission}, fs.ErrPermission},
		{plain, plain},
		{nil, nil},
	} {
		if got := Reason(tt.err); got != tt.want {
			t.Errorf("Reason(%v) = %v, want %v", tt.err, got, tt.want)
		}
	}
}

// JSON that is written out for the eye means the same to other programs.
func TestEscaped(t *testing.T) {
	for in, want := range map[string]string{
		"plain":                       `"plain"`,
		"größer ☃ 😀":                  `"größer ☃ 😀"`,
		"\u009b31m":                   `"\u009b31m"`,
		"a\x7fb":                      `"a\u007fb"`,
		"a\u202eb":                    `"a\u202eb"`,
		"tag \U000e0041 and mark":     `"tag \udb40\udc41 and mark"`,
		"line\nand\ttab\x1b":          `"line\nand\ttab\u001b"`,
		"\u200ca joiner":              "\"\u200ca joiner\"",
		`\u009b typed, not meant`:     `"\\u009b typed, not meant"`,
		"a byte that is no text \x9b": `"a byte that is no text \ufffd"`,
	} {
		var b strings.Builder
		e := json.NewEncoder(Escaped(&b))
		if err := e.Encode(in); err != nil {
			t.Fatal(err)
		}
		if got := strings.TrimSuffix(b.String(), "\n"); got != want {
			t.Errorf("%q is written as %s, want %s", in, got, want)
		}
		var back string
		if err := json.Unmarshal([]byte(b.String()), &back); err != nil || back != strings.ToValidUTF8(in, "\ufffd") {
			t.Errorf("%q is read back as %q: %v", in, back, err)
		}
	}
	var b strings.Builder
	const text = "{\n  \"a\": \"\x9b\u0085\"\n}\n"
	if n, err := Escaped(&b).Write([]byte(text)); n != len(text) || err != nil || b.String() != "{\n  \"a\": \"\\ufffd\\u0085\"\n}\n" {
		t.Errorf("%d bytes written, %v: %q", n, err, b.String())
	}
}
