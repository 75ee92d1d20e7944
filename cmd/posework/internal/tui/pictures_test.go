package tui

import (
	"fmt"
	"html"
	"io"
	"io/fs"
	"iter"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/lipgloss"
	"github.com/muesli/termenv"

	"posework/cmd/posework/internal/seat"
	"posework/lessons"
)

// The pictures in the README are what the program shows, made by
//
//	go test ./cmd/posework/internal/tui -run Pictures -update
//
// and compared here, so that they do not go stale.
func TestPictures(t *testing.T) {
	folder, err := filepath.Abs("../../../../.github")
	if err != nil {
		t.Fatal(err)
	}
	course, l := lessons.Load(lessons.Embedded(), ".")
	if len(l) > 0 {
		t.Fatal(l.Err())
	}
	t.Chdir(t.TempDir())
	s := &seat.Seat{Course: course, Person: "Jo Fenwick", Now: func() time.Time { return time.Unix(0, 0) }, Seed: 1}
	b := coloured(t, s)
	b.size(118, 34)
	b.send(standingsRead{all: someStandings(course)})
	for range 10 {
		b.keys("down")
	}
	takePicture(t, b.driver, folder, "course")

	answer := func(name string) {
		text, err := fs.ReadFile(lessons.Embedded(), "12-approach-the-crate/answers/"+name)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile("approach-the-crate.yaml", text, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	answer("good-step-by-step.yaml")
	b.keys("down", "enter", "p", "enter")
	b.size(152, 44)
	b.keys("]", "]", "]", "]", "tab", "tab")
	for range 3 {
		b.until(".")
	}
	b.hold(".", 0.8)
	takePicture(t, b.driver, folder, "practice")

	b.pass(3)
	b.keys("esc")
	answer("flawed-fast-approach.yaml")
	b.size(118, 30)
	b.keys("h", "approach-the-crate.yaml", "enter")
	b.shows("FAST_APPROACH")
	takePicture(t, b.driver, folder, "findings")
}

// someStandings are those of a learner who is halfway.
func someStandings(c *lessons.Course) map[string]seat.Standing {
	all := map[string]seat.Standing{}
	for i, l := range c.Lessons {
		st := seat.Standing{Questions: len(l.Quiz)}
		switch {
		case i < 9:
			st.State, st.Best, st.Attempts, st.TaskPassed, st.Right = seat.Passed, float64(100-5*(i%3)), 1, true, len(l.Quiz)
		case i == 9:
			st.State, st.Attempts, st.Best, st.Right = seat.Started, 2, 60, 4
		case i > 11:
			st.State = seat.Waits
		}
		all[l.ID] = st
	}
	return all
}

// coloured is a driver that shows colours, its time passing only when told.
func coloured(t *testing.T, s *seat.Seat) *benchDriver {
	t.Helper()
	r := lipgloss.NewRenderer(io.Discard)
	r.SetColorProfile(termenv.ANSI)
	b := &benchDriver{&driver{t, New(t.Context(), s, NewTheme(r, true), "")}, time.Unix(1000, 0)}
	b.app.clock = clock{
		tick: func(time.Duration, func(time.Time) tea.Msg) tea.Cmd { return nil },
		now:  func() time.Time { return b.now },
	}
	b.run(b.app.Init())
	return b
}

func takePicture(t *testing.T, d *driver, folder, name string) {
	t.Helper()
	got := toSVG(d.app.View(), d.app.width, d.app.height)
	file := filepath.Join(folder, name+".svg")
	if *update {
		if err := os.MkdirAll(folder, 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("%s shows something else than the program; look at the program's picture with -update", file)
	}
}

// One character in the pictures, in tenths of a pixel.
const (
	cellWidth  = 84
	cellHeight = 176
	border     = 120
)

// shade is how a character looks.
type shade struct {
	colour int // of the sixteen; -1: the usual one
	bold   bool
	faint  bool
	turned bool // dark on light
}

// The sixteen colours, as a terminal with a dark background shows them.
var sixteen = [16]string{
	"#3b4252", "#e06c75", "#98c379", "#e5c07b", "#61afef", "#c678dd", "#56b6c2", "#abb2bf",
	"#5c6370", "#ff7b86", "#b5e890", "#ffd68a", "#7cc3ff", "#df8ef5", "#6fd3df", "#ffffff",
}

func (s shade) fill() string {
	switch {
	case s.turned:
		return "#16181d"
	case s.colour >= 0 && s.faint:
		return sixteen[s.colour]
	case s.colour >= 0:
		return sixteen[s.colour]
	case s.faint:
		return "#7d8590"
	case s.bold:
		return "#ffffff"
	}
	return "#d0d4dc"
}

// toSVG draws what a terminal shows: text as text, dots and lines as such, so
// that they have no gaps in any font.
func toSVG(view string, width, height int) string {
	var b, texts strings.Builder
	dots := map[string]*strings.Builder{}
	var order []string
	stroke := func(fill string) *strings.Builder {
		if dots[fill] == nil {
			dots[fill] = &strings.Builder{}
			order = append(order, fill)
		}
		return dots[fill]
	}
	for row, line := range strings.Split(view, "\n") {
		col, look := 0, shade{colour: -1}
		var run strings.Builder
		from := 0
		end := func() {
			for x, text := range words(run.String(), from) {
				weight := ""
				if look.bold {
					weight = ` font-weight="bold"`
				}
				trimmed := text
				if look.turned {
					fmt.Fprintf(&texts, `<rect x="%s" y="%s" width="%s" height="%s" fill="#d0d4dc"/>`+"\n",
						tenth(border+x*cellWidth), tenth(border+row*cellHeight), tenth(len([]rune(trimmed))*cellWidth), tenth(cellHeight))
				}
				fmt.Fprintf(&texts, `<text x="%s" y="%s" textLength="%s" fill="%s"%s>%s</text>`+"\n", tenth(border+x*cellWidth), tenth(border+row*cellHeight+132),
					tenth(len([]rune(trimmed))*cellWidth), look.fill(), weight, html.EscapeString(trimmed))
			}
			run.Reset()
			from = col
		}
		for len(line) > 0 {
			if rest, ok := strings.CutPrefix(line, "\x1b["); ok {
				code, after, _ := strings.Cut(rest, "m")
				end()
				look = look.after(code)
				line = after
				continue
			}
			r := []rune(line)[0]
			line = line[len(string(r)):]
			x, y := border+col*cellWidth, border+row*cellHeight
			switch {
			case r >= 0x2800 && r < 0x2900:
				end()
				w := stroke(look.fill())
				for bit, at := range [8][2]int{{0, 0}, {0, 1}, {0, 2}, {1, 0}, {1, 1}, {1, 2}, {0, 3}, {1, 3}} {
					if (r-0x2800)>>bit&1 == 1 {
						fmt.Fprintf(w, "M%s %sh0", tenth(x+21+42*at[0]), tenth(y+22+44*at[1]))
					}
				}
			case r == '─':
				end()
				fmt.Fprintf(&texts, `<path d="M%s %sh%s" stroke="%s"/>`+"\n", tenth(x), tenth(y+88), tenth(cellWidth), look.fill())
			case r == '│':
				end()
				fmt.Fprintf(&texts, `<path d="M%s %sv%s" stroke="%s"/>`+"\n", tenth(x+42), tenth(y), tenth(cellHeight), look.fill())
			case r >= '▁' && r <= '█':
				end()
				h := int(r-'▁'+1) * cellHeight / 8
				fmt.Fprintf(&texts, `<rect x="%s" y="%s" width="%s" height="%s" fill="%s" shape-rendering="crispEdges"/>`+"\n", tenth(x), tenth(y+cellHeight-h), tenth(cellWidth), tenth(h), look.fill())
			default:
				run.WriteRune(r)
				col++
				continue
			}
			col++
			from = col
		}
		end()
	}
	w, h := tenth(2*border+width*cellWidth), tenth(2*border+height*cellHeight)
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %s %s" width="%s" height="%s">`+"\n", w, h, w, h)
	fmt.Fprintf(&b, `<rect width="%s" height="%s" rx="8" fill="#16181d"/>`+"\n", w, h)
	b.WriteString(`<g font-family="ui-monospace, Menlo, Consolas, 'DejaVu Sans Mono', monospace" font-size="14" xml:space="preserve" fill="none">` + "\n")
	for _, fill := range order {
		fmt.Fprintf(&b, `<path stroke="%s" stroke-width="2.6" stroke-linecap="round" d="%s"/>`+"\n", fill, dots[fill])
	}
	b.WriteString(joinLines(texts.String()))
	b.WriteString("</g>\n</svg>\n")
	return b.String()
}

// words are the parts of a text that stand apart by more than a blank, by where
// they begin: each is put where it belongs, whatever the font makes of blanks.
func words(text string, from int) iter.Seq2[int, string] {
	return func(yield func(int, string) bool) {
		r := []rune(text)
		for i := 0; i < len(r); {
			if r[i] == ' ' {
				i++
				continue
			}
			end := i + 1
			for end < len(r) && (r[end] != ' ' || end+1 < len(r) && r[end+1] != ' ') {
				end++
			}
			if !yield(from+i, string(r[i:end])) {
				return
			}
			i = end
		}
	}
}

// joinLines puts neighbouring strokes of a rule together.
func joinLines(text string) string {
	var out []string
	for line := range strings.Lines(text) {
		if n := len(out); n > 0 && strings.HasPrefix(line, `<path d="M`) && strings.HasPrefix(out[n-1], `<path d="M`) {
			var x0, y0, w0, x1, y1, w1 float64
			var c0, c1 string
			if _, err := fmt.Sscanf(out[n-1], `<path d="M%f %fh%f" stroke=%q/>`, &x0, &y0, &w0, &c0); err == nil {
				if _, err := fmt.Sscanf(line, `<path d="M%f %fh%f" stroke=%q/>`, &x1, &y1, &w1, &c1); err == nil && y0 == y1 && c0 == c1 && x1-x0-w0 < 0.01 {
					out[n-1] = fmt.Sprintf(`<path d="M%s %sh%s" stroke="%s"/>`+"\n", short(x0), short(y0), short(w0+w1), c0)
					continue
				}
			}
		}
		out = append(out, line)
	}
	return strings.Join(out, "")
}

func short(v float64) string { return strconv.FormatFloat(v, 'f', -1, 32) }

func tenth(v int) string { return strconv.FormatFloat(float64(v)/10, 'f', -1, 64) }

// after is the look after a sequence of attributes.
func (s shade) after(codes string) shade {
	for _, code := range strings.Split(codes, ";") {
		n, _ := strconv.Atoi(code)
		switch {
		case n == 0:
			s = shade{colour: -1}
		case n == 1:
			s.bold = true
		case n == 2:
			s.faint = true
		case n == 7:
			s.turned = true
		case n == 22:
			s.bold, s.faint = false, false
		case n >= 30 && n <= 37:
			s.colour = n - 30
		case n >= 90 && n <= 97:
			s.colour = n - 90 + 8
		case n == 39:
			s.colour = -1
		}
	}
	return s
}
