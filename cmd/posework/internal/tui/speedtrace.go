package tui

import "strings"

// speedTrace is how fast the fastest point has moved of late: the greatest speed
// in each tenth of a second.
type speedTrace struct {
	past [traceLength]float64
	next int     // where the newest goes
	now  float64 // greatest in the present tenth
	left float64 // s until the present tenth is over
}

const (
	traceLength = 256
	traceTime   = 0.1 // s
)

// add notes a speed that was kept for a time.
func (t *speedTrace) add(mms, dt float64) {
	t.now = max(t.now, mms)
	for t.left -= dt; t.left <= 0; t.left += traceTime {
		t.past[t.next] = t.now
		t.next = (t.next + 1) % traceLength
		t.now = mms
	}
}

// bars are the steps of a bar within one character, from nothing to full.
var (
	blockBars = []rune(" ▁▂▃▄▅▆▇█")
	plainBars = []rune(" .:-=+*#")
)

// draw returns the trace as bars, newest at the right, full at limit; the rows
// from the top.
func (t *speedTrace) draw(width, height int, limit float64, utf8 bool) []string {
	bars := plainBars
	if utf8 {
		bars = blockBars
	}
	width = min(width, traceLength)
	rows := make([]string, height)
	for row := range rows {
		var b strings.Builder
		for col := range width {
			v := t.past[(t.next-width+col+traceLength)%traceLength] / max(limit, 1)
			full := len(bars) - 1
			level := int(v*float64(height*full)+0.5) - (height-1-row)*full
			if v > 0 && row == height-1 {
				level = max(level, 1) // even the slowest motion shows
			}
			b.WriteRune(bars[min(max(level, 0), full)])
		}
		rows[row] = b.String()
	}
	return rows
}
