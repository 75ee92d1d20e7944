package tui

import (
	"strings"

	"github.com/charmbracelet/glamour/ansi"
	"github.com/charmbracelet/lipgloss"
	"github.com/muesli/termenv"
)

// Theme is how things look in one session: it holds that session's renderer, so
// that learners on different terminals can share a process.
type Theme struct {
	renderer *lipgloss.Renderer

	Title   lipgloss.Style // of a screen
	Heading lipgloss.Style // of a group
	Key     lipgloss.Style // a key that can be pressed
	Faint   lipgloss.Style // said, but not now
	Chosen  lipgloss.Style // the line that the pointer is on
	Cursor  lipgloss.Style // the character that typing goes before
	Good    lipgloss.Style
	Bad     lipgloss.Style
	Warn    lipgloss.Style

	Pointer string // before the chosen line; blanks of its width stand before others
	Rule    string // one cell of a horizontal rule
	Bar     string // a vertical rule
	Dot     string // before an item of a list
	Markers struct{ On, Off string }
}

// NewTheme returns the theme of a session. Where the terminal may not show more
// than ASCII, utf8 is false.
func NewTheme(r *lipgloss.Renderer, utf8 bool) *Theme {
	style := r.NewStyle
	colour := func(c string) lipgloss.Style { return style().Foreground(lipgloss.Color(c)) }
	t := &Theme{
		renderer: r,
		Title:    style().Bold(true),
		Heading:  colour("4").Bold(true),
		Key:      style().Bold(true),
		Faint:    style().Faint(true),
		Chosen:   style().Bold(true),
		Cursor:   style().Reverse(true),
		Good:     colour("2").Bold(true),
		Bad:      colour("1").Bold(true),
		Warn:     colour("3").Bold(true),
		Pointer:  "> ", Rule: "-", Bar: "|", Dot: "-",
	}
	t.Markers.On, t.Markers.Off = "[x]", "[ ]"
	if utf8 {
		t.Pointer, t.Rule, t.Bar, t.Dot = "▸ ", "─", "│", "·"
	}
	return t
}

// colourless reports whether the session shows neither colour nor bold.
func (t *Theme) colourless() bool { return t.renderer.ColorProfile() == termenv.Ascii }

// point returns the space before a line: the pointer or blanks.
func (t *Theme) point(chosen bool) string {
	if chosen {
		return t.Pointer
	}
	return strings.Repeat(" ", lipgloss.Width(t.Pointer))
}

// markdown is how lesson text looks. Without colour and bold, inline code keeps
// its back quotes; otherwise it could not be told from words.
func (t *Theme) markdown() ansi.StyleConfig {
	yes := true
	ref := func(s string) *string { return &s }
	n := func(u uint) *uint { return &u }
	primitive := func(p ansi.StylePrimitive) ansi.StyleBlock { return ansi.StyleBlock{StylePrimitive: p} }
	heading := func(prefix string) ansi.StyleBlock {
		return primitive(ansi.StylePrimitive{Color: ref("4"), Bold: &yes, Prefix: prefix})
	}
	c := ansi.StyleConfig{
		Document:       ansi.StyleBlock{Margin: n(1)},
		Paragraph:      ansi.StyleBlock{},
		BlockQuote:     ansi.StyleBlock{Indent: n(1), IndentToken: ref(t.Bar + " ")},
		List:           ansi.StyleList{LevelIndent: 2},
		Item:           ansi.StylePrimitive{BlockPrefix: t.Dot + " "},
		Enumeration:    ansi.StylePrimitive{BlockPrefix: ". "},
		Heading:        ansi.StyleBlock{StylePrimitive: ansi.StylePrimitive{BlockSuffix: "\n", Bold: &yes}},
		H1:             heading(""),
		H2:             heading(""),
		H3:             heading(""),
		Strong:         ansi.StylePrimitive{Bold: &yes},
		Emph:           ansi.StylePrimitive{Italic: &yes},
		Link:           ansi.StylePrimitive{Underline: &yes},
		LinkText:       ansi.StylePrimitive{},
		HorizontalRule: ansi.StylePrimitive{Format: "\n" + strings.Repeat(t.Rule, 8) + "\n"},
		Code:           primitive(ansi.StylePrimitive{Color: ref("6")}),
		CodeBlock:      ansi.StyleCodeBlock{StyleBlock: ansi.StyleBlock{Margin: n(2)}},
		Table:          ansi.StyleTable{CenterSeparator: ref("+"), ColumnSeparator: ref("|"), RowSeparator: ref("-")},
	}
	if t.Rule != "-" {
		c.Table = ansi.StyleTable{CenterSeparator: ref("┼"), ColumnSeparator: ref("│"), RowSeparator: ref("─")}
	}
	if t.colourless() {
		// Bold and italic would be sent all the same, as sequences that a screen
		// reader or a log shows.
		shout := primitive(ansi.StylePrimitive{Upper: &yes})
		c.H1, c.H2, c.H3 = shout, shout, shout
		c.Heading.Bold, c.Strong, c.Emph, c.Link = nil, ansi.StylePrimitive{}, ansi.StylePrimitive{}, ansi.StylePrimitive{}
		c.Code = primitive(ansi.StylePrimitive{Prefix: "`", Suffix: "`"})
	}
	return c
}

// heading is a heading within a screen: capitals where there is no colour to
// set it apart.
func (t *Theme) heading(text string) string {
	if t.colourless() {
		return strings.ToUpper(text)
	}
	return t.Heading.Render(text)
}
