package host

import (
	"io"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"
	"unicode/utf8"
)

// screen is what a client's terminal shows: as much of a terminal as the course
// makes use of. Whatever else it is sent it keeps in strange.
type screen struct {
	mu      sync.Mutex
	rows    [][]rune
	row     int
	col     int
	rest    []byte
	strange []string
	other   io.Writer // takes what is sent, in place of the terminal; nil: none
}

// instead hands what is sent from now on to w, and shows none of it.
func (s *screen) instead(w io.Writer) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.other = w
}

func newScreen(width, height int) *screen {
	s := &screen{rows: make([][]rune, height)}
	for i := range s.rows {
		s.rows[i] = []rune(strings.Repeat(" ", width))
	}
	return s
}

// Write takes what was sent.
func (s *screen) Write(p []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.other != nil {
		return s.other.Write(p)
	}
	b := append(s.rest, p...)
	for len(b) > 0 {
		n := s.take(b)
		if n == 0 {
			break
		}
		b = b[n:]
	}
	s.rest = append([]byte(nil), b...)
	return len(p), nil
}

// take takes one character or sequence and returns its length, 0 when it is not
// whole.
func (s *screen) take(b []byte) int {
	switch {
	case b[0] == 0x1b:
		return s.sequence(b)
	case b[0] == '\r':
		s.col = 0
		return 1
	case b[0] == '\n':
		s.row = min(s.row+1, len(s.rows)-1)
		return 1
	case b[0] < 0x20 || b[0] == 0x7f:
		s.strange = append(s.strange, strconv.QuoteRune(rune(b[0])))
		return 1
	case !utf8.FullRune(b):
		return 0
	}
	r, n := utf8.DecodeRune(b)
	if s.row < len(s.rows) && s.col < len(s.rows[s.row]) {
		s.rows[s.row][s.col] = r
	}
	s.col++
	return n
}

func (s *screen) sequence(b []byte) int {
	if len(b) < 2 {
		return 0
	}
	if b[1] != '[' {
		s.strange = append(s.strange, strconv.Quote(string(b[:2])))
		return 2
	}
	for i := 2; i < len(b); i++ {
		if b[i] >= 0x40 && b[i] <= 0x7e {
			s.control(string(b[2:i]), b[i])
			return i + 1
		}
	}
	return 0
}

func (s *screen) control(args string, final byte) {
	blank := func(row []rune) {
		for i := range row {
			row[i] = ' '
		}
	}
	switch {
	case args == "?1049" && final == 'l': // back to the shell's screen
		for _, row := range s.rows {
			blank(row)
		}
		s.row, s.col = 0, 0
	case final == 'm', strings.HasPrefix(args, "?") && (final == 'h' || final == 'l'):
	case final == 'H':
		row, col, _ := strings.Cut(args, ";")
		r, _ := strconv.Atoi(row)
		c, _ := strconv.Atoi(col)
		s.row, s.col = max(r, 1)-1, max(c, 1)-1
	case final == 'K' && (args == "" || args == "0"):
		if s.row < len(s.rows) {
			blank(s.rows[s.row][min(s.col, len(s.rows[s.row])):])
		}
	case final == 'J' && args == "2":
		for _, row := range s.rows {
			blank(row)
		}
	case final == 'J' && (args == "" || args == "0"):
		for _, row := range s.rows[min(s.row, len(s.rows)):] {
			blank(row)
		}
	default:
		s.strange = append(s.strange, strconv.Quote("\x1b["+args+string(final)))
	}
}

func (s *screen) text() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	lines := make([]string, len(s.rows))
	for i, row := range s.rows {
		lines[i] = strings.TrimRight(string(row), " ")
	}
	return strings.TrimRight(strings.Join(lines, "\n"), "\n")
}

// patience is how long a test waits for what must come: much longer than it takes
// on a machine that does nothing else.
const patience = 30 * time.Second

// sees waits until the screen shows a text.
func (s *screen) sees(t testing.TB, text string) {
	t.Helper()
	s.wait(t, "shows "+strconv.Quote(text), func(all string) bool { return strings.Contains(all, text) })
}

func (s *screen) wait(t testing.TB, what string, ok func(string) bool) {
	t.Helper()
	for end := time.Now().Add(patience); time.Now().Before(end); time.Sleep(5 * time.Millisecond) {
		if ok(s.text()) {
			return
		}
	}
	t.Fatalf("the screen never %s; it shows\n%s", what, s.text())
}
