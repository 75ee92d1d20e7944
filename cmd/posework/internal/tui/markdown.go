package tui

import (
	"regexp"
	"strings"

	"github.com/charmbracelet/glamour"
	"github.com/charmbracelet/x/ansi"

	"posework/grader/report"
)

// widest is the greatest width of running text: longer lines are hard to read.
const widest = 84

// margin is what the document's style puts before and after every line.
const margin = 1

// render lays Markdown out for a width. A lesson may be a stranger's file, so
// control characters never reach the terminal.
func (t *Theme) render(text string, width int) string {
	width = max(20, min(width, widest))
	source := strings.Split(text, "\n")
	for i, line := range source {
		source[i] = printable(strings.TrimRight(line, "\r"))
	}
	text = strings.Join(hangItems(source, width-2*margin), "\n")
	r, err := glamour.NewTermRenderer(
		glamour.WithStyles(t.markdown()),
		glamour.WithWordWrap(width),
		glamour.WithColorProfile(t.renderer.ColorProfile()),
	)
	if err == nil {
		text, err = r.Render(text)
	}
	if err != nil {
		return text // Markdown reads well enough as it is written
	}
	// The renderer leaves blank lines at both ends, and two after some lists.
	var lines []string
	blank := true
	for _, line := range strings.Split(text, "\n") {
		before := blank
		if blank = strings.TrimSpace(ansi.Strip(line)) == ""; blank && before {
			continue
		}
		lines = append(lines, line)
	}
	if blank && len(lines) > 0 {
		lines = lines[:len(lines)-1]
	}
	return strings.Join(lines, "\n")
}

var (
	item     = regexp.MustCompile(`^(- |[0-9]{1,2}\. )(.*)$`)
	codeSpan = regexp.MustCompile("`[^`]*`")
)

// hangItems wraps the items of outermost lists itself, with a hanging indent,
// which the renderer can't do: the lines of an item end in hard breaks and begin
// with blanks that do not collapse.
func hangItems(source []string, width int) []string {
	const hard, blank, glue = "\\", "\u00a0", "\x00"
	var out []string
	fenced := false
	for i := 0; i < len(source); i++ {
		if strings.HasPrefix(strings.TrimSpace(source[i]), "```") {
			fenced = !fenced
		}
		m := item.FindStringSubmatch(source[i])
		if m == nil || fenced {
			out = append(out, source[i])
			continue
		}
		body, begin, plain := m[2], i, true
		for i+1 < len(source) && continues(source[i+1]) {
			i++
			body += " " + strings.TrimSpace(source[i])
			plain = plain && !item.MatchString(strings.TrimSpace(source[i]))
		}
		if !plain { // a list within the item: left to the renderer
			out = append(out, source[begin:i+1]...)
			continue
		}
		// Code is never broken: a hard break within it would be read as text.
		body = codeSpan.ReplaceAllStringFunc(body, func(s string) string { return strings.ReplaceAll(s, " ", glue) })
		lines := strings.Split(report.Wrap(body, "", max(10, width-len(m[1]))), "\n")
		for k, line := range lines {
			line = strings.ReplaceAll(line, glue, " ")
			if k == 0 {
				line = m[1] + line
			} else {
				line = strings.Repeat(" ", len(m[1])) + strings.Repeat(blank, len(m[1])) + line
			}
			if k < len(lines)-1 {
				line += hard
			}
			out = append(out, line)
		}
	}
	return out
}

// continues reports whether a line goes on with the item before it.
func continues(line string) bool {
	return strings.HasPrefix(line, "  ") && strings.TrimSpace(line) != ""
}
