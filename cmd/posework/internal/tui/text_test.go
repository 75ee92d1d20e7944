package tui

import (
	"testing"

	"github.com/charmbracelet/x/ansi"
	"pgregory.net/rapid"
)

// What the quick way measures and cuts is what the slow way does.
func TestLineWidth(t *testing.T) {
	piece := rapid.OneOf(
		rapid.StringOfN(rapid.RuneFrom([]rune("ab ~!─│▄█⣿⠁éßſ")), 0, 5, -1),
		rapid.SampledFrom([]string{"\x1b[0m", "\x1b[1;38;5;4m", "\x1b[m", "\x1b[2J", "\x1b]0;x\a", "漢", "e\u0301", "·", "▸", "👩‍🔧", "\u00ad", "\u200b", "\t", "\xff", "\x1b", "…", "\u0300"}),
	)
	rapid.Check(t, func(t *rapid.T) {
		s := ""
		for range rapid.IntRange(0, 6).Draw(t, "pieces") {
			s += piece.Draw(t, "piece")
		}
		if got, want := lineWidth(s), ansi.StringWidth(s); got != want {
			t.Fatalf("lineWidth(%q) = %d, want %d", s, got, want)
		}
		width := rapid.IntRange(0, 20).Draw(t, "width")
		if got, want := cut(s, width, "..."), ansi.Truncate(s, width, "..."); got != want {
			t.Fatalf("cut(%q, %d) = %q, want %q", s, width, got, want)
		}
	})
}

func BenchmarkLineWidth(b *testing.B) {
	line := "\x1b[38;5;4m" + "⣿⠁⠂ axis 1  0.00 deg ─────────────" + "\x1b[0m" + "                                        170.0 to +"
	for b.Loop() {
		lineWidth(line)
	}
}
