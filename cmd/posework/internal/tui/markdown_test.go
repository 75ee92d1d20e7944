package tui

import (
	"io"
	"strings"
	"testing"

	"github.com/charmbracelet/lipgloss"
	"github.com/charmbracelet/x/ansi"
	"github.com/muesli/termenv"
)

func plainTheme(profile termenv.Profile) *Theme {
	r := lipgloss.NewRenderer(io.Discard)
	r.SetColorProfile(profile)
	return NewTheme(r, true)
}

func TestListsHang(t *testing.T) {
	text := "Before.\n\n1. **Prepare.** Know every energy and where it is cut, and write\n   it down.\n2. Wait for `part-held: on` and then go on.\n\n- one\n- two that is long enough to be wrapped here\n- three\n  - within\n\nAfter.\n\n```\n- {to: home, end: stop}   # as it is\n```\n"
	got := ansi.Strip(plainTheme(termenv.ANSI).render(text, 40))
	var lines []string
	for _, line := range strings.Split(got, "\n") {
		lines = append(lines, strings.TrimRight(strings.ReplaceAll(line, "\u00a0", " "), " "))
	}
	want := ` Before.

 1. Prepare. Know every energy and
    where it is cut, and write it down.
 2. Wait for part-held: on and then go
    on.

 · one
 · two that is long enough to be
   wrapped here
 · three
   · within

 After.

   - {to: home, end: stop}   # as it is`
	if got := strings.Join(lines, "\n"); got != want {
		t.Errorf("rendered:\n%s\nwant:\n%s", got, want)
	}
}

// Without colour no sequence is sent at all, and code keeps its quotes.
func TestColourlessMarkdownIsPlain(t *testing.T) {
	got := plainTheme(termenv.Ascii).render("# A\n\nSome **bold**, *slanted* and `code`, [a link](https://example.org).\n\n| a | b |\n|---|---|\n| 1 | 2 |\n", 60)
	if strings.ContainsRune(got, '\x1b') {
		t.Errorf("sequences in %q", got)
	}
	if !strings.Contains(got, "Some bold, slanted and `code`") {
		t.Errorf("rendered %q", got)
	}
}

func TestControlCharactersInLessonsAreHarmless(t *testing.T) {
	got := plainTheme(termenv.Ascii).render("Hello \x1b]0;owned\x07 \x9b2J there\n", 60)
	if strings.ContainsAny(got, "\x1b\x07") {
		t.Errorf("rendered %q", got)
	}
}
