package paint

import (
	"fmt"
	"strings"
	"testing"

	"github.com/charmbracelet/x/ansi"
	"pgregory.net/rapid"
)

// glass is what a terminal would show: as much of ECMA-48 as a painter uses.
type glass struct {
	tb            testing.TB
	width, height int
	cells         [][]rune
	row, col      int
	sent          int // bytes
	writes        int
}

func newGlass(tb testing.TB, width, height int) *glass {
	g := &glass{tb: tb, width: width, height: height}
	g.erase(0)
	return g
}

func (g *glass) erase(from int) {
	for len(g.cells) < g.height {
		g.cells = append(g.cells, nil)
	}
	for i := from; i < g.height; i++ {
		g.cells[i] = []rune(strings.Repeat(" ", g.width))
	}
}

// resize leaves behind what no painter may rely on.
func (g *glass) resize(width, height int) {
	g.width, g.height, g.cells = width, height, nil
	g.erase(0)
	for _, row := range g.cells {
		for i := range row {
			row[i] = '~'
		}
	}
}

func (g *glass) Write(b []byte) (int, error) {
	g.sent += len(b)
	g.writes++
	for s := string(b); s != ""; {
		if !strings.HasPrefix(s, "\x1b[") {
			r := []rune(s)[0]
			if g.row >= g.height || g.col >= g.width {
				g.fail("%q is written at row %d, column %d of %dx%d", r, g.row, g.col, g.width, g.height)
			} else {
				g.cells[g.row][g.col] = r
			}
			g.col++
			s = s[len(string(r)):]
			continue
		}
		end := strings.IndexFunc(s[2:], func(r rune) bool { return r >= '@' }) + 3
		g.obey(s[2:end-1], s[end-1])
		s = s[end:]
	}
	return len(b), nil
}

func (g *glass) obey(args string, final byte) {
	switch final {
	case 'H':
		g.row, g.col = 0, 0
		if args != "" {
			row, col := 1, 1
			if strings.HasPrefix(args, ";") {
				fmt.Sscanf(args, ";%d", &col)
			} else {
				fmt.Sscanf(args, "%d;%d", &row, &col)
			}
			g.row, g.col = row-1, col-1
		}
	case 'J':
		switch args {
		case "2":
			g.erase(0)
		case "", "0":
			if g.col != 0 {
				g.fail("erasing below from the middle of a line")
			}
			g.erase(g.row)
		}
	case 'K':
		for i := g.col; i < g.width; i++ {
			g.cells[g.row][i] = ' '
		}
	case 'h', 'l':
	default:
		g.fail("an unknown sequence: %q %q", args, final)
	}
}

func (g *glass) fail(format string, args ...any) {
	g.tb.Helper()
	g.tb.Fatalf(format, args...)
}

func (g *glass) text() string {
	var lines []string
	for _, row := range g.cells {
		lines = append(lines, strings.TrimRight(string(row), " "))
	}
	return strings.TrimRight(strings.Join(lines, "\n"), "\n")
}

// Whatever frames and sizes come one after the other, the terminal shows the
// last frame and nothing else.
func TestShowsTheLastFrame(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		width, height := rapid.IntRange(1, 8).Draw(rt, "width"), rapid.IntRange(1, 6).Draw(rt, "height")
		g := newGlass(t, width, height)
		p := &painter{out: g, width: width}
		p.open()
		for range rapid.IntRange(1, 12).Draw(rt, "frames") {
			if rapid.IntRange(0, 5).Draw(rt, "what") == 0 {
				width, height = rapid.IntRange(1, 8).Draw(rt, "width"), rapid.IntRange(1, 6).Draw(rt, "height")
				g.resize(width, height)
				p.resize(width)
			}
			lines := rapid.SliceOfN(rapid.StringOfN(rapid.RuneFrom([]rune("ab ")), 0, width, -1), 1, height).Draw(rt, "lines")
			p.show(strings.Join(lines, "\n"))
			for i := range lines {
				lines[i] = strings.TrimRight(lines[i], " ")
			}
			if want := strings.TrimRight(strings.Join(lines, "\n"), "\n"); g.text() != want {
				rt.Fatalf("the terminal shows\n%s\nnot\n%s", g.text(), want)
			}
		}
	})
}

func TestSendsOnlyWhatChanged(t *testing.T) {
	g := newGlass(t, 80, 24)
	p := &painter{out: g, width: 80}
	p.open()
	lines := strings.Split(strings.Repeat(strings.Repeat("x", 80)+"\n", 23)+"foot", "\n")
	p.show(strings.Join(lines, "\n"))
	before := g.sent
	p.show(strings.Join(lines, "\n"))
	if g.sent != before {
		t.Errorf("the same frame again sends %d bytes", g.sent-before)
	}
	lines[23] = "hand"
	p.show(strings.Join(lines, "\n"))
	if most := len(ansi.CursorPosition(1, 24) + "hand" + ansi.EraseLineRight); g.sent-before > most {
		t.Errorf("one changed line sends %d bytes, more than %d", g.sent-before, most)
	}
}

// What comes after the terminal was given back is dropped.
func TestLateFrame(t *testing.T) {
	g := newGlass(t, 20, 2)
	p := &painter{out: g, width: 20}
	p.open()
	p.show("the end")
	p.close()
	before := g.sent
	p.show("late")
	if g.sent != before {
		t.Error("something is drawn on a terminal that was given back")
	}
}
