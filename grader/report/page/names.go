package page

import (
	"cmp"
	"math"
	"slices"
	"strings"
	"unicode/utf8"
)

// names writes the marks of findings and steps and the names of things, each
// where it covers nothing that was written before; what finds no room is left to
// the descriptions.
func (s *stage) names(b *svg, a *Attempt, k int) {
	v := views[k]
	w := writer{svg: b, shown: s.frame[k], size: 0.03 * (s.frame[k].hi.x - s.frame[k].lo.x)}
	// The letters choose their places first and are drawn last, over all else.
	var flags svg
	w.svg = &flags
	for _, m := range s.letters(a) {
		w.put("flag", v.across(m.at), m.text, 1.2)
	}
	w.svg = b
	defer func() { b.put("%s", flags.String()) }()
	for _, m := range s.targets() {
		p := v.across(m.at)
		b.put(`<circle class="target" cx="%s" cy="%s" r="%s"/>`, num(p.x), num(p.y), num(0.2*w.size))
		if m.text != "" {
			w.put("step", p, m.text, 0.85)
		}
	}
	for i := range s.exam.Cell.Frames {
		w.put("frame", v.across(s.exam.Cell.Frames[i].Pose.T), s.exam.Cell.Frames[i].Name, 1)
	}
	for _, g := range s.groups(v) {
		w.put("name", point{(g.at.lo.x + g.at.hi.x) / 2, (g.at.lo.y + g.at.hi.y) / 2}, g.name, 0.9)
	}
	for i := range s.exam.Cell.Zones {
		z := &s.exam.Cell.Zones[i]
		o, ok := bodyOf(&z.Shape)
		if !ok {
			continue
		}
		var r bounds
		v.bounds(&o, &r)
		r = w.clip(r)
		if r.any {
			w.put("zone", point{(r.lo.x + r.hi.x) / 2, r.lo.y + w.size}, z.Name, 0.9)
		}
	}
}

// group is a thing, or several whose names begin alike ("crate-left",
// "crate-right"), with what it covers.
type group struct {
	name string
	at   bounds
	n    int
}

// groups are the named things, the large ones first.
func (s *stage) groups(v *view) (out []group) {
	for i := range s.fixed {
		t := &s.fixed[i]
		stem, _, _ := strings.Cut(t.name, "-")
		k := slices.IndexFunc(out, func(g group) bool { return g.name == stem })
		if k < 0 {
			k = len(out)
			out = append(out, group{name: stem})
		}
		out[k].n++
		v.bounds(&t.body, &out[k].at)
	}
	for k := range out {
		if out[k].n == 1 {
			i := slices.IndexFunc(s.fixed, func(t thing) bool { stem, _, _ := strings.Cut(t.name, "-"); return stem == out[k].name })
			out[k].name = s.fixed[i].name
		}
	}
	area := func(g *group) float64 { return (g.at.hi.x - g.at.lo.x) * (g.at.hi.y - g.at.lo.y) }
	slices.SortStableFunc(out, func(a, b group) int { return cmp.Compare(area(&b), area(&a)) })
	return out
}

// writer places texts in a picture.
type writer struct {
	*svg
	shown bounds
	size  float64 // of the letters, mm
	taken []bounds
}

// put writes a text at a place or beside it, where there is room.
func (w *writer) put(class string, at point, words string, scale float64) {
	words = shorter(words, 24)
	size := w.size * scale
	width := 0.56*size*float64(utf8.RuneCountInString(visible(words))) + 0.3*size
	if class == "flag" {
		width += 0.5 * size
	}
	high := 1.25 * size
	for _, by := range [...]point{{0, 0}, {0, -1}, {0, 1}, {1, 0}, {-1, 0}, {0, -2}, {0, 2}, {1, -1}, {-1, -1}, {1, 1}, {-1, 1}} {
		if by == (point{}) && (class == "step" || class == "frame") { // beside what they name
			continue
		}
		c := point{at.x + by.x*(width/2+0.7*size), at.y + by.y*high}
		r := bounds{point{c.x - width/2, c.y - high/2}, point{c.x + width/2, c.y + high/2}, true}
		if !w.free(&r) {
			continue
		}
		w.taken = append(w.taken, r)
		if class == "flag" {
			if by != (point{}) {
				w.svg.put(`<path class="stem" d="M%s %sL%s %s"/>`, num(at.x), num(at.y), num(c.x), num(c.y))
			}
			w.svg.put(`<rect class="flag-ground" x="%s" y="%s" width="%s" height="%s" rx="%s"/>`, num(r.lo.x), num(r.lo.y), num(width), num(high), num(high/2))
		}
		w.svg.put(`<text class="%s" x="%s" y="%s" font-size="%s">%s</text>`, class, num(c.x), num(c.y+0.36*size), num(size), text(words))
		return
	}
}

func (w *writer) free(r *bounds) bool {
	if r.lo.x < w.shown.lo.x || r.hi.x > w.shown.hi.x || r.lo.y < w.shown.lo.y || r.hi.y > w.shown.hi.y {
		return false
	}
	return !slices.ContainsFunc(w.taken, func(t bounds) bool {
		return r.lo.x < t.hi.x && t.lo.x < r.hi.x && r.lo.y < t.hi.y && t.lo.y < r.hi.y
	})
}

// clip cuts a rectangle to what is shown; none is left of one outside.
func (w *writer) clip(r bounds) bounds {
	r.lo = point{math.Max(r.lo.x, w.shown.lo.x), math.Max(r.lo.y, w.shown.lo.y)}
	r.hi = point{math.Min(r.hi.x, w.shown.hi.x), math.Min(r.hi.y, w.shown.hi.y)}
	r.any = r.any && r.lo.x < r.hi.x && r.lo.y < r.hi.y
	return r
}
