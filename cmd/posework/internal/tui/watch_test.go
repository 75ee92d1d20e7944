package tui

import (
	"strings"
	"testing"
	"unicode/utf8"
)

// What an instructor sees of a learner's screen is text in colours and nothing
// else, whatever the learner brought onto it.
func TestTame(t *testing.T) {
	tests := []struct{ in, want string }{
		{"plain\nlines", "plain\nlines"},
		{"\x1b[1;38;5;4mblue\x1b[0m", "\x1b[1;38;5;4mblue\x1b[0m"},
		{"a\x1b[2Jb\x1b[10;10Hc", "abc"},
		{"\x1b]0;owned\x07x\x1b]8;;https://example.com\x1b\\y", "xy"},
		{"\x1b[>4;1m\x1b[?1mz", "z"},
		{"\x1bPq#0~\x1b\\x\x1b_g\x1b\\", "x"},
		{"\x07\x08\r\tx\x7f", "x"},
		{"\u009b2Jx", "2Jx"},
		{"\x9b2Jx", "2Jx"},
		{"漢é▸", "漢é▸"},
	}
	for _, tt := range tests {
		if got := tame(tt.in); got != tt.want {
			t.Errorf("tame(%q) = %q, want %q", tt.in, got, tt.want)
		}
	}
}

func FuzzTame(f *testing.F) {
	for _, s := range []string{"\x1b[1mx", "\x1b]0;x\x07", "\u009b2J", "\x1b[\x1b[mx", "\xc2\x9b", "\x9b31m", "\x1b[38;2;\x1b]1;2;3m"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		out := tame(s)
		if i := strings.IndexFunc(out, func(r rune) bool { return r >= 0x80 && r <= 0x9f || r == utf8.RuneError }); i >= 0 && !strings.ContainsRune(s, utf8.RuneError) {
			t.Fatalf("tame(%q) = %q", s, out)
		}
		for i := 0; i < len(out); i++ {
			if c := out[i]; c < 0x20 && c != '\n' && c != 0x1b || c == 0x7f {
				t.Fatalf("tame(%q) = %q", s, out)
			}
			if out[i] != 0x1b {
				continue
			}
			if i+1 >= len(out) || out[i+1] != '[' {
				t.Fatalf("tame(%q) = %q", s, out)
			}
			for i += 2; i < len(out) && out[i] != 'm'; i++ {
				if c := out[i]; (c < '0' || c > '9') && c != ';' && c != ':' {
					t.Fatalf("tame(%q) = %q", s, out)
				}
			}
		}
		if again := tame(out); again != out {
			t.Fatalf("tame(%q) = %q, and again %q", s, out, again)
		}
	})
}
