package source

import (
	"testing"

	"posework/engine/diag"
)

// TestCopy reads two copies of one text: each is read from the beginning and
// reports to its own list, at the places of the text.
func TestCopy(t *testing.T) {
	const text = "a: 1\nb: {c: [1, two], d: x}\n"
	var parsed diag.List
	root := Parse("f", []byte(text), 1, &parsed)
	for range 2 {
		var l diag.List
		m := root.Copy(&l).Map()
		if got := m.Get("a").Num(); got != 1 {
			t.Errorf("a is %g in the copy", got)
		}
		b := m.Get("b").Map()
		b.Get("c").Nums(2)
		b.Close()
		m.Close()
		want := "f:2:12: item 2 of c: \"two\" is not a number; write a decimal number such as 12.5\n" +
			"f:2:18: unknown key \"d\" in b; known here: c"
		l.Sort()
		if got := l.Err().Error(); got != want {
			t.Errorf("the copy reports\n%s\nwant\n%s", got, want)
		}
	}
	if len(parsed) > 0 {
		t.Errorf("the first list holds %v", parsed)
	}
	if (*Node)(nil).Copy(&parsed) != nil {
		t.Error("the copy of an absent value is there")
	}
}
