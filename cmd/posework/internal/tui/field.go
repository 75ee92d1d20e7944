package tui

import (
	"unicode"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"

	"posework/engine/diag"
)

// field is a line of text that is being typed. The usual component for this
// reads the clipboard of the machine that it runs on, which is another person's
// where learners come in over SSH; pasting in the terminal works here as typing.
type field struct {
	text []rune
	at   int // of the cursor, from 0 to len(text)
	most int // characters; 0: no limit
}

// Value is the text.
func (f *field) Value() string { return string(f.text) }

// Set replaces the text and puts the cursor behind it.
func (f *field) Set(text string) {
	f.text = []rune(text)
	f.at = len(f.text)
}

// Key edits, and reports whether the key meant anything.
func (f *field) Key(msg tea.KeyMsg) bool {
	switch msg.String() {
	case "left", "ctrl+b":
		f.at = max(0, f.at-1)
	case "right", "ctrl+f":
		f.at = min(len(f.text), f.at+1)
	case "home", "ctrl+a":
		f.at = 0
	case "end", "ctrl+e":
		f.at = len(f.text)
	case "backspace", "ctrl+h":
		f.cut(max(0, f.at-1), f.at)
	case "delete", "ctrl+d":
		f.cut(f.at, min(len(f.text), f.at+1))
	case "ctrl+u":
		f.cut(0, f.at)
	case "ctrl+k":
		f.cut(f.at, len(f.text))
	case "ctrl+w":
		f.cut(f.wordBefore(), f.at)
	default:
		if msg.Type != tea.KeyRunes && msg.Type != tea.KeySpace || msg.Alt {
			return false
		}
		f.insert(msg.Runes)
	}
	return true
}

func (f *field) cut(from, to int) {
	f.text = append(f.text[:from:from], f.text[to:]...)
	f.at = from
}

func (f *field) insert(typed []rune) {
	for _, r := range typed {
		if unicode.IsControl(r) || f.most > 0 && len(f.text) >= f.most {
			continue
		}
		f.text = append(f.text[:f.at:f.at], append([]rune{r}, f.text[f.at:]...)...)
		f.at++
	}
}

// wordBefore is where the word before the cursor begins; a slash ends a word.
func (f *field) wordBefore() int {
	i := f.at
	blank := func(r rune) bool { return unicode.IsSpace(r) || r == '/' }
	for i > 0 && blank(f.text[i-1]) {
		i--
	}
	for i > 0 && !blank(f.text[i-1]) {
		i--
	}
	return i
}

// View draws the text with its cursor; of a long text, the part around the
// cursor. Without colours the cursor is a low line that stands between.
func (f *field) View(t *Theme, width int) string {
	// It may hold the name of somebody else's file.
	before, after := diag.Visible(string(f.text[:f.at])), []rune(diag.Visible(string(f.text[f.at:])))
	if over := ansi.StringWidth(before) - (width - 2); over > 0 {
		before = ansi.TruncateLeft(before, over+1, "...")
	}
	if t.colourless() {
		return ansi.Truncate(before+"_"+string(after), width, "...")
	}
	under, rest := " ", ""
	if len(after) > 0 {
		under, rest = string(after[0]), string(after[1:])
	}
	return ansi.Truncate(before+t.Cursor.Render(under)+rest, width, "...")
}
