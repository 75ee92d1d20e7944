package source

import (
	"testing"

	"posework/engine/diag"
)

// TestSpan marks in a text where the value of key v begins and ends.
func TestSpan(t *testing.T) {
	tests := []struct{ before, value, after string }{
		{"v: ", "line", "\nw: 1\n"},
		{"v: ", "two words", " # note\nw: 1\n"},
		{"v: ", "two\n  words", "  \nw: 1\n"},
		{"é: ü\nv: ", "é", ""},
		{"v: ", "'it''s # this'", " # note\n"},
		{"v: ", `"a \" b ' c"`, "\n"},
		{"{v: ", "a", ", w: 1}"},
		{"{w: 1, v: ", "", "}"},
		{"v:", "", "\nw: 1\n"},
		{"v: ", "~", "\nw: 1\n"},
		{"v: ", "[]", " # note\n"},
		{"v: ", "{ }", "\n"},
		{"v: ", "[a, [b, 'c]'], {d: e}]", "\n"},
		{"v: ", "[a, # ] not here\n  b, ]", " # note\nw: 1\n"},
		{"v: ", "{a: , b: }", "\n"},
		{"v: ", "{a, b}", "\n"},
		{"v:\n  ", "- a\n  - b: c\n    d: [e]", " # note\nw: 1\n"},
		{"v:\r\n", "- a\r\n- b", "\r\nw: 1\r\n"},
		{"v:\n  ", "a: b\n  c:\n    - d", "\nw: 1\n"},
		{"v:\n  ", "a: b\n  c:", "\nw: 1\n"},
		{"v: ", "|\n  a # b\n  c", "\nw: 1\n"},
		{"v: ", ">-  # note\n  a\n\n  b", "\n\nw: 1\n"},
	}
	for _, tt := range tests {
		var l diag.List
		text := tt.before + tt.value + tt.after
		n := Parse("f", []byte(text), 7, &l).Map().Get("v")
		from, to := n.Span()
		if len(l) > 0 || text[from:to] != tt.value {
			t.Errorf("in %q the span is %q (%v), want %q", text, text[from:to], l, tt.value)
		}
	}
	var none *Node
	if from, to := none.Span(); from != 0 || to != 0 || none.Flow() {
		t.Error("an absent value has a span")
	}
}

func TestWord(t *testing.T) {
	var l diag.List
	m := Parse("f", []byte("v: fly-by x mm\nw: 'a b'\n"), 1, &l).Map()
	m.Get("v").Word("x mm").MM()
	m.Get("w").Word("b").Num()
	want := "f:1:11: v: \"x mm\" is not a number; write a decimal number such as 12.5\n" +
		"f:2:4: w: \"b\" is not a number; write a decimal number such as 12.5"
	if got := l.Err().Error(); got != want {
		t.Errorf("reports\n%s\nwant\n%s", got, want)
	}
	if m.Get("none").Word("x") != nil {
		t.Error("a word of an absent value is there")
	}
}
