package host

import (
	"io"
	"strings"

	"github.com/charmbracelet/lipgloss"
	"github.com/muesli/termenv"
)

// environ is what a client said of its terminal.
type environ []string

// Environ returns all of it.
func (e environ) Environ() []string { return e }

// Getenv returns one variable, "" where it was not told.
func (e environ) Getenv(name string) string {
	for _, v := range e {
		if value, ok := strings.CutPrefix(v, name+"="); ok {
			return value
		}
	}
	return ""
}

// renderer returns the renderer of one session. The client is never asked for the
// colour of its background: one that does not answer would hold the session up.
func (e environ) renderer() *lipgloss.Renderer {
	r := lipgloss.NewRenderer(io.Discard)
	profile := termenv.NewOutput(io.Discard, termenv.WithEnvironment(e), termenv.WithUnsafe()).EnvColorProfile()
	r.SetColorProfile(profile)
	r.SetHasDarkBackground(true)
	return r
}

// utf8 reports whether the terminal shows more than ASCII. One that says nothing
// of it is taken for a modern one.
func (e environ) utf8() bool {
	for _, name := range []string{"LC_ALL", "LC_CTYPE", "LANG"} {
		if v := strings.ToLower(e.Getenv(name)); v != "" {
			return strings.Contains(v, "utf-8") || strings.Contains(v, "utf8")
		}
	}
	return true
}
