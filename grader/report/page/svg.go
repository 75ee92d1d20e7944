package page

import (
	"fmt"
	"html/template"
	"math"
	"strconv"
	"strings"
)

// svg is a picture that is being written. Text that comes from outside goes
// through text alone; all else is numbers and words of this package.
type svg struct{ strings.Builder }

func (b *svg) put(format string, args ...any) { fmt.Fprintf(b, format, args...) }

// text is a text from outside, escaped.
func text(s string) string { return template.HTMLEscapeString(visible(s)) }

// html is the finished picture.
func (b *svg) html() template.HTML { return template.HTML(b.String()) }

// num writes a coordinate to a tenth, without needless digits. What is no number
// would spoil the whole picture, so it becomes 0.
func num(v float64) string { return digits(v, 10) }

func digits(v, scale float64) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return "0"
	}
	v = math.Round(v*scale)/scale + 0
	return strconv.FormatFloat(v, 'f', -1, 64)
}

// mark is a sign that goes with a word, so that a table can be read at a glance.
func mark(word string) string {
	switch word {
	case "passed", "holds":
		return "✓"
	case "not passed", "missed", "stop", "fail":
		return "✗"
	case "could not be graded", "unproved":
		return "?"
	}
	return "•"
}

// histogram draws how many learners have how many points. Bars of those who
// passed are filled, those of the others hatched; numbers stand above.
func histogram(bins []bin, pass string) template.HTML {
	const w, h, left, top, bottom = 640.0, 220.0, 20.0, 44.0, 28.0
	most := 1
	for _, b := range bins {
		most = max(most, b.Passed+b.NotPassed)
	}
	var s svg
	s.put(`<svg class="histogram" viewBox="0 0 %g %g" aria-hidden="true" focusable="false">`, w, h)
	step := (w - 2*left) / float64(len(bins))
	scale := (h - top - bottom) / float64(most)
	for i, b := range bins {
		x, y := left+float64(i)*step, h-bottom
		for _, part := range []struct {
			class string
			n     int
		}{{"bar-miss", b.NotPassed}, {"bar-pass", b.Passed}} {
			if part.n == 0 {
				continue
			}
			high := float64(part.n) * scale
			y -= high
			s.put(`<rect class="%s" x="%s" y="%s" width="%s" height="%s"/>`, part.class, num(x+3), num(y), num(step-6), num(high))
		}
		if n := b.Passed + b.NotPassed; n > 0 {
			s.put(`<text class="value" x="%s" y="%s">%d</text>`, num(x+step/2), num(y-6), n)
		}
	}
	for i := range len(bins) + 1 {
		s.put(`<text class="tick" x="%s" y="%s">%d</text>`, num(left+float64(i)*step), num(h-bottom+18), 100*i/len(bins))
	}
	s.put(`<line class="axis" x1="%s" y1="%s" x2="%s" y2="%s"/>`, num(left), num(h-bottom), num(w-left), num(h-bottom))
	if p, err := strconv.ParseFloat(pass, 64); err == nil {
		x := left + p/100*(w-2*left)
		s.put(`<line class="limit" x1="%s" y1="%s" x2="%s" y2="%s"/><text class="tick" x="%s" y="17">%s needed</text>`, num(x), num(22), num(x), num(h-bottom), num(x), pass)
	}
	s.put(`</svg>`)
	return s.html()
}

// shareBar draws a share of all learners.
func shareBar(n, of int) template.HTML {
	var s svg
	s.put(`<svg class="share" viewBox="0 0 100 8" preserveAspectRatio="none" aria-hidden="true" focusable="false"><rect class="share-all" width="100" height="8"/><rect class="share-part" width="%s" height="8"/></svg>`, num(100*float64(n)/float64(max(1, of))))
	return s.html()
}
