package source

import (
	"strings"
	"testing"

	"posework/engine/diag"
)

// TestMalformed pins the one message that each malformed text gets.
func TestMalformed(t *testing.T) {
	tests := []struct{ name, in, want string }{
		{"empty", "", `f:1:1: the file is empty; write its first key`},
		{"comment only", "# to do\n", `f:1:1: the file is empty; write its first key`},
		{"null only", "---\n~\n", `f:1:1: the file is empty; write its first key`},
		{"10 MB of junk", strings.Repeat("junk ", 2<<20), `f:1:1: the file is larger than 256 kB, the greatest size that is read; split it or delete what it does not need`},
		{"deep flow", "a: " + strings.Repeat("[", 1000), `f:1:64: lists and mappings are nested deeper than 60, the greatest depth that is read; write it flatter`},
		{"deep flow closed", strings.Repeat("[", 1000) + strings.Repeat("]", 1000), `f:1:61: lists and mappings are nested deeper than 60, the greatest depth that is read; write it flatter`},
		{"deep block", strings.Repeat("- ", 1000) + "a", `f:1:121: lists and mappings are nested deeper than 60, the greatest depth that is read; write it flatter`},
		{"deep mixed", strings.Repeat("- ", 40) + strings.Repeat("[", 40) + strings.Repeat("]", 40), `f:1:101: lists and mappings are nested deeper than 60, the greatest depth that is read; write it flatter`},
		{"too many values", "a: [" + strings.Repeat("1,", 50_000) + "]", `f:1:99999: the file holds more than 50000 keys and values, the most that are read; split the file`},
		{"far too many values", "a: {" + strings.Repeat("a,", 100_000), `f:1:100006: the file holds more than 50000 keys and values, the most that are read; split the file`},
		{"alias bomb", "a: &a [x, x]\nb: &b [*a, *a]\nc: [*b, *b]\n", `f:1:4: anchors (&name) are not read; delete the anchor, and write the value again where it was used`},
		{"alias without anchor", "a: *b\n", `f:1:4: aliases (*name) are not read; write the value in its place`},
		{"anchor to itself", "a: &a [*a]\n", `f:1:4: anchors (&name) are not read; delete the anchor, and write the value again where it was used`},
		{"merge key", "<<: {a: 1}\n", `f:1:1: merge keys (<<) are not read; write the keys out`},
		{"tag", "a: !!str 5\n", `f:1:4: tags (!name) are not read; delete it`},
		{"empty tag", "a: ! 5\n", `f:1:4: tags (!name) are not read; delete it`},
		{"directive", "# x\n\n%YAML 1.2\n---\na: 1\n", `f:3:1: directives (lines that begin with %) are not read; delete the line`},
		{"two documents", "a: 1\n---\nb: 2\n", `f:2:1: a second document begins here, but a file holds one; keep one document and delete the rest`},
		{"text after the end", "a: 1\n...\njunk\n", `f:3:1: a second document begins here, but a file holds one; keep one document and delete the rest`},
		{"broken second document", "a: 1\n---\n[\n", `f:4:1: expected a value here; delete the comma before it or close the bracket`},
		{"NUL", "a: 1\nb\x00: 2\n", `f:2:2: this is no text (a NUL character); save the file as UTF-8 text`},
		{"not UTF-8", "a: é\nb: é\xff\n", `f:2:5: this is no UTF-8 text (byte 0xff); save the file as UTF-8 text`},
		{"UTF-16", "\xff\xfea\x00:\x00", `f:1:1: this is no UTF-8 text (byte 0xff); save the file as UTF-8 text`},
		{"escape sequence", "a: \x1b[31m\n", `f:1:4: this is an invisible character (U+001B); delete it`},
		{"written escape sequence", `a: "x\e[31m"`, `f:1:4: a contains an invisible character (U+001B); delete the escape`},
		{"direction mark", "a: \u202eb\n", `f:1:4: this is an invisible character (U+202E); delete it`},
		{"tab", "a:\n\tb: 1\n", `f:2:1: this line is indented with a tab; indent with spaces`},
		{"tab after spaces", "a:\r\n  \tb: 1\r\n", `f:2:3: this line is indented with a tab; indent with spaces`},
		{"open list", "a: [1, 2\nb: 3\n", `f:2:2: expected "," or "]" here in the list that opens at line 1, column 4; close it or separate its items by commas`},
		{"open mapping", "- {a: 1\n- {b: 2}\n", `f:2:3: expected "," or "}" here in the mapping that opens at line 1, column 3; close it or separate its keys by commas`},
		{"open quote", "a: 'b\nc: d\n", `f:1:4: this quote is never closed; add the closing quote`},
		{"no colon", "a: 1\nb\nc: 2\n", `f:2:1: this line is no "key: value"; write a colon and a space after the key`},
		{"two colons", "a: b: c\n", `f:1:5: a ": " can't stand here; mend the indentation, or put the text in quotes, or the mapping in { }`},
		{"wrong indentation", "a: 1\n b: 2\n", `f:2:3: a ": " can't stand here; mend the indentation, or put the text in quotes, or the mapping in { }`},
		{"stray bracket", "a: [b]]\n", `f:1:7: this does not belong to the mapping that begins at line 1, column 1; mend the indentation or the brackets before it`},
		{"key in a list", "a:\n  - b\n  c: d\n", `f:3:3: this does not belong to the list that begins at line 2, column 3; mend the indentation, or begin it with "- "`},
		{"list after a key", "a: - b\n", `f:1:4: a list item ("- ") can't stand here; begin it on a line of its own, below its key`},
		{"stray end", "{a: 1}}\n", `f:1:7: this stands after the end of the file's content; mend the indentation or the brackets before it`},
		{"bad start", "é: @b\n", `f:1:4: a value can't begin with '@'; put the value in quotes`},
		{"bad escape", `a: "\q"`, `f:1:5: this escape after \ is not known; write \\ for a backslash, or use single quotes`},
		{"bad code", `a: "\uD800"`, `f:1:7: this escape after \ is not known; write \\ for a backslash, or use single quotes`},
		{"list as key", "[a, b]: c\n", `f:1:1: a key must be a single word; write "name: value"`},
		{"no key", ": c\n", `f:1:1: a key must be a single word; write "name: value"`},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			var l diag.List
			n := Parse("f", []byte(tt.in), 1, &l)
			if got := l.Error(); got != tt.want {
				t.Errorf("Parse reports\n%s\nwant\n%s", got, tt.want)
			}
			if n != nil && tt.name != "written escape sequence" {
				t.Errorf("Parse returned a tree")
			}
		})
	}
}

func TestDuplicateKeys(t *testing.T) {
	var l diag.List
	m := Parse("f", []byte("a: 1\nb: {c: 1, c: 2}\na: 3\n"), 1, &l).Map()
	want := "f:2:11: the key \"c\" stands here twice, first in line 2; keep one of the two\n" +
		"f:3:1: the key \"a\" stands here twice, first in line 1; keep one of the two"
	if got := l.Err().Error(); got != want {
		t.Errorf("Parse reports\n%s\nwant\n%s", got, want)
	}
	if got := m.Get("a").Num(); got != 1 {
		t.Errorf("a = %v, want the first value, 1", got)
	}
}

// TestPlaces checks lines and columns (in characters) through a byte order mark,
// CRLF line ends, characters of several bytes, and text inside another file.
func TestPlaces(t *testing.T) {
	var l diag.List
	text := "\ufeffé: [ü, \"x\"]\r\nnäme: {to: 5}\r\n"
	root := Parse("lesson.md", []byte(text), 3, &l)
	if len(l) > 0 {
		t.Fatal(l)
	}
	m := root.Map()
	for _, tt := range []struct {
		n    *Node
		want string
	}{
		{root, "lesson.md:3:1"},
		{m.Get("é"), "lesson.md:3:4"},
		{m.Get("é").List()[1], "lesson.md:3:8"},
		{m.Get("näme").Map().Get("to"), "lesson.md:4:12"},
	} {
		if got := tt.n.Pos().String(); got != tt.want {
			t.Errorf("%s is at %s, want %s", tt.n.Label(), got, tt.want)
		}
	}
	if got := m.Names()[1].KeyPos.String(); got != "lesson.md:4:1" {
		t.Errorf("the key näme is at %s, want lesson.md:4:1", got)
	}
}

// TestLimitsAreInclusive reads texts exactly at each limit.
func TestLimitsAreInclusive(t *testing.T) {
	for _, tt := range []struct{ name, in string }{
		{"size", "a: 1\n" + strings.Repeat("#", MaxBytes-5)},
		{"depth", strings.Repeat("[", MaxDepth) + strings.Repeat("]", MaxDepth)},
		{"values", "[" + strings.Repeat("1,", MaxValues-1) + "]"},
	} {
		var l diag.List
		if Parse("f", []byte(tt.in), 1, &l) == nil || len(l) > 0 {
			t.Errorf("%s: Parse reports %v at the limit itself", tt.name, l)
		}
	}
}

func TestGuard(t *testing.T) {
	p := &parser{file: &file{name: "f", first: 1, list: new(diag.List)}}
	p.syntax(guard(func() error { panic("impossible") }))
	if got, want := p.list.Error(), "f:1:1: this is no YAML: the YAML library gave up on it"; got != want {
		t.Errorf("a panic reports %s, want %s", got, want)
	}
	if err := guard(func() error { return nil }); err != nil {
		t.Error(err)
	}
}
