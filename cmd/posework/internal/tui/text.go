package tui

import (
	"strings"
	"unicode/utf8"

	"github.com/charmbracelet/lipgloss"
	"github.com/charmbracelet/x/ansi"

	"posework/grader/report"
)

// clip cuts every line to width, and the text to height lines.
func clip(text string, width, height int) string {
	lines := strings.Split(text, "\n")
	if len(lines) > height {
		lines = lines[:max(0, height)]
	}
	for i, line := range lines {
		lines[i] = cut(line, max(0, width), "")
	}
	return strings.Join(lines, "\n")
}

// fill makes text exactly height lines.
func fill(text string, height int) string {
	n := strings.Count(text, "\n") + 1
	if n < height {
		text += strings.Repeat("\n", height-n)
	}
	return text
}

// pad adds blanks up to width, and cuts what is wider, with an ellipsis.
func pad(text string, width int) string {
	if w := lineWidth(text); w < width {
		return text + strings.Repeat(" ", width-w)
	}
	return cut(text, max(0, width), "...")
}

// ends puts left and right at the two ends of a line. Left gives way.
func ends(left, right string, width int) string {
	room := width - lineWidth(right)
	if room < 4 {
		return pad(left, width)
	}
	return pad(left, room-1) + " " + right
}

// beside puts two columns side by side, the left one exactly width wide.
func beside(left, right, between string, width int) string {
	l, r := strings.Split(left, "\n"), strings.Split(right, "\n")
	var b strings.Builder
	for i := range max(len(l), len(r)) {
		if i > 0 {
			b.WriteByte('\n')
		}
		var a, c string
		if i < len(l) {
			a = l[i]
		}
		if i < len(r) {
			c = r[i]
		}
		b.WriteString(pad(a, width) + between + c)
	}
	return b.String()
}

// bullet is an item of a list, wrapped with a hanging indent.
func bullet(mark, text string, width int) string {
	indent := strings.Repeat(" ", lipgloss.Width(mark)+1)
	return mark + " " + strings.TrimLeft(report.Wrap(text, indent, width), " ")
}

// window returns which of n lines to show so that line at is among the height
// shown ones, with as little movement as possible from the first line shown so
// far.
func window(first, at, n, height int) int {
	if at < first {
		first = at
	}
	if at >= first+height {
		first = at - height + 1
	}
	return max(0, min(first, n-height))
}

// lineWidth is the width of a line in cells.
func lineWidth(s string) int {
	if w, ok := plainWidth(s); ok {
		return w
	}
	return ansi.StringWidth(s)
}

// cut cuts a line to width cells, the tail included where something is cut.
func cut(s string, width int, tail string) string {
	if w, ok := plainWidth(s); ok && w <= width {
		return s
	}
	return ansi.Truncate(s, width, tail)
}

// plainWidth is the width of a line of ASCII, Latin letters, rules, blocks and
// braille dots, one cell each, and of sequences that set colours; ok is false for
// a line with anything else. It takes a tenth of the time that breaking a line
// into grapheme clusters does, and nearly all lines are such.
func plainWidth(s string) (width int, ok bool) {
	for i := 0; i < len(s); {
		switch c := s[i]; {
		case c >= 0x20 && c < 0x7f:
			width++
			i++
		case c == 0x1b:
			n := colourLen(s[i:])
			if n == 0 {
				return 0, false
			}
			i += n
		default:
			r, n := utf8.DecodeRuneInString(s[i:])
			if (r < 0xc0 || r > 0x17f) && (r < 0x2500 || r > 0x259f) && (r < 0x2800 || r > 0x28ff) {
				return 0, false
			}
			width++
			i += n
		}
	}
	return width, true
}

// colourLen is the length of the sequence that s begins with, if it sets colours;
// else 0.
func colourLen(s string) int {
	if len(s) < 2 || s[1] != '[' {
		return 0
	}
	for i := 2; i < len(s); i++ {
		switch c := s[i]; {
		case c == 'm':
			return i + 1
		case (c < '0' || c > '9') && c != ';':
			return 0
		}
	}
	return 0
}

// printable makes a line of a stranger's file safe to show: control characters,
// which could steer the terminal, are replaced.
func printable(line string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\t':
			return ' '
		case r < ' ' || r >= 0x7f && r < 0xa0:
			return '?'
		}
		return r
	}, line)
}
