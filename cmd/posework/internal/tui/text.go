package tui

import (
	"strings"

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
		lines[i] = ansi.Truncate(line, max(0, width), "")
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
	if w := ansi.StringWidth(text); w < width {
		return text + strings.Repeat(" ", width-w)
	}
	return ansi.Truncate(text, max(0, width), "...")
}

// ends puts left and right at the two ends of a line. Left gives way.
func ends(left, right string, width int) string {
	room := width - ansi.StringWidth(right)
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

func lineWidth(s string) int { return ansi.StringWidth(s) }

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
