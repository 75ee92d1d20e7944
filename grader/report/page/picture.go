package page

import (
	"cmp"
	"fmt"
	"html/template"
	"math"
	"slices"
	"strings"

	"posework/engine/cell"
	"posework/engine/program"
	"posework/grader/report"
	"posework/kin"
)

// speeds are the classes of tool speed that paths are drawn in, mm/s: the same in
// every picture of every learner, so that pictures can be compared. Each is a
// little wider than the one before; colour only helps.
var speeds = [...]struct {
	to   float64
	name string
}{
	{50, "up to 50 mm/s"},
	{100, "50 to 100 mm/s"},
	{250, "100 to 250 mm/s"},
	{500, "250 to 500 mm/s"},
	{math.Inf(1), "over 500 mm/s"},
}

// band returns the class of a speed, from 1. A speed at its limit belongs below
// it, whatever the last digit of its measurement.
func band(v float64) int {
	for i, s := range speeds {
		if v <= s.to+0.05 {
			return i + 1
		}
	}
	return len(speeds)
}

// scenery draws what does not move, as group id.
func (s *stage) scenery(k int, id string) string {
	v := views[k]
	var b svg
	b.put(`<g id="%s" class="scenery">`, id)
	if f := s.exam.Cell.Floor; k == 1 && f.Exists {
		b.put(`<path class="floor" d="M%s %sh%s"/>`, num(s.frame[k].lo.x), num(-f.Z), num(s.frame[k].hi.x-s.frame[k].lo.x))
	}
	for _, t := range s.byDepth(v, s.fixed) {
		class := t.kind
		if s.against(k, &t.body) > 0 { // what hangs over the work must not hide it
			class += " over"
		}
		b.put(`<path class="%s" d="%s"><title>%s</title></path>`, class, v.outline(&t.body), text(t.name))
	}
	for i := range s.exam.Cell.Zones {
		z := &s.exam.Cell.Zones[i]
		if o, ok := bodyOf(&z.Shape); ok {
			class := "zone-out"
			if z.Rule == cell.AtMost {
				class = "zone-slow"
			}
			if s.against(k, &o) != 0 {
				class += " aside"
			}
			b.put(`<path class="%s" d="%s"><title>%s</title></path>`, class, v.outline(&o), text(zoneName(z)))
		}
	}
	for i := range s.exam.Cell.Frames {
		p := &s.exam.Cell.Frames[i].Pose
		o := v.across(p.T)
		b.put(`<path class="axes" d="`)
		for _, axis := range [3]kin.Vec{p.R.X, p.R.Y, p.R.Z} {
			e := v.across(p.T.AddScaled(45, axis))
			b.put(`M%s %sL%s %s`, num(o.x), num(o.y), num(e.x), num(e.y))
		}
		b.put(`"/>`)
	}
	b.put(`</g>`)
	return b.String()
}

func zoneName(z *cell.Zone) string {
	if z.Rule == cell.AtMost {
		return fmt.Sprintf("zone %s: at most %g mm/s", z.Name, z.Speed)
	}
	return "zone " + z.Name + ": keep out"
}

// against tells how a body lies to what moves, along the line of sight: 1 wholly
// in front, -1 wholly behind, 0 beside it.
func (s *stage) against(k int, b *body) int {
	near, far := depth(views[k], b)
	switch r := s.depths[k]; {
	case far > r.hi:
		return 1
	case near < r.lo:
		return -1
	}
	return 0
}

// depth is how near to the viewer a body's nearest and farthest points are.
func depth(v *view, b *body) (near, far float64) {
	near, far = math.Inf(-1), math.Inf(1)
	for _, p := range b.points {
		d := p.Dot(v.nearest)
		near, far = max(near, d+b.grow), min(far, d-b.grow)
	}
	return near, far
}

// byDepth sorts things so that what is nearer to the viewer comes later.
func (s *stage) byDepth(v *view, things []thing) []thing {
	out := slices.Clone(things)
	slices.SortStableFunc(out, func(a, b thing) int {
		x, _ := depth(v, &a.body)
		y, _ := depth(v, &b.body)
		return cmp.Compare(x, y)
	})
	return out
}

// arm draws what moves, at a sample.
func (s *stage) arm(k, i int) string {
	var b svg
	for _, t := range s.pose(&s.states[i]) {
		b.put(`<path class="%s" d="%s"/>`, t.kind, views[k].outline(&t.body))
	}
	return b.String()
}

// path draws the way of the tool centre point, a path element a class of speed.
func (s *stage) path(k int) string {
	v := views[k]
	var d [len(speeds)]strings.Builder
	for from := 0; from+1 < len(s.way); {
		class := s.class(from)
		to := from + 1
		for to+1 < len(s.way) && s.class(to) == class {
			to++
		}
		way := make([]point, 0, to-from+1)
		for i := from; i <= to; i++ {
			way = append(way, v.across(s.way[i].tcp))
		}
		way = simplify(way, 0.8)
		if len(way) > 1 {
			for i, p := range way {
				d[class-1].WriteByte("ML"[min(i, 1)])
				d[class-1].WriteString(digits(p.x, 1) + " " + digits(p.y, 1))
			}
		}
		from = to
	}
	var b svg
	for i := range d {
		if d[i].Len() > 0 {
			b.put(`<path class="way v%d" d="%s"/>`, i+1, d[i].String())
		}
	}
	return b.String()
}

// class is the class of speed from a waypoint to the next one.
func (s *stage) class(i int) int { return band((s.way[i].v + s.way[i+1].v) / 2) }

// simplify leaves out points that lie within tolerance of the line between those
// that stay (D. Douglas and T. Peucker, 1973).
func simplify(p []point, tolerance float64) []point {
	if len(p) < 3 {
		if len(p) == 2 && p[0] == p[1] {
			return p[:1]
		}
		return p
	}
	a, b := p[0], p[len(p)-1]
	worst, at := 0.0, 0
	for i := 1; i < len(p)-1; i++ {
		if d := fromSegment(p[i], a, b); d > worst {
			worst, at = d, i
		}
	}
	if worst <= tolerance {
		if math.Hypot(b.x-a.x, b.y-a.y) < tolerance {
			return p[:1]
		}
		return []point{a, b}
	}
	first := simplify(p[:at+1], tolerance)
	second := simplify(p[at:], tolerance)
	return append(first[:len(first):len(first)], second[1:]...)
}

func fromSegment(p, a, b point) float64 {
	dx, dy := b.x-a.x, b.y-a.y
	t := 0.0
	if l := dx*dx + dy*dy; l > 0 {
		t = max(0, min(1, ((p.x-a.x)*dx+(p.y-a.y)*dy)/l))
	}
	return math.Hypot(p.x-a.x-t*dx, p.y-a.y-t*dy)
}

// spot is a marked place of the main pictures.
type spot struct {
	at   kin.Vec
	text string
}

// letters are the places of findings; those that share a place share a mark.
func (s *stage) letters(a *Attempt) (out []spot) {
	for i := range a.Mark.Findings[:min(len(a.Mark.Findings), mostShown)] {
		f := &a.Mark.Findings[i]
		if l := letter(s.rank[i]); f.HasPlace && l != "" {
			out = addSpot(out, s.world(f.Place), l, 8)
		}
	}
	return out
}

// targets are the places that steps go to, with the labels of the steps; a step
// that is run again and goes elsewhere is named at its first place.
func (s *stage) targets() (out []spot) {
	named := map[string]bool{}
	for i := range s.exam.Motion.Steps {
		st := &s.exam.Motion.Steps[i]
		if st.Source.Kind != program.Move || len(out) >= 60 {
			continue
		}
		label := brief(st.Label)
		if named[label] {
			label = ""
		}
		named[label] = true
		out = addSpot(out, st.Target.T, label, 4)
	}
	return out
}

// brief is the label of a step without its rounds: "7.2 (round 3)" is 7.2.
func brief(label string) string {
	label, _, _ = strings.Cut(label, " (")
	return label
}

func addSpot(list []spot, at kin.Vec, label string, most int) []spot {
	for i := range list {
		if list[i].at.Sub(at).Norm() < 8 {
			words := strings.Fields(list[i].text)
			switch n := len(words) - 1; {
			case label == "" || slices.Contains(words, label):
			case n+1 < most:
				list[i].text = strings.TrimSpace(list[i].text + " " + label)
			case n+1 == most:
				list[i].text += " …"
			}
			return list
		}
	}
	return append(list, spot{at, label})
}

// picture draws a whole view: scenery, arm at a sample, path, names and marks.
func (s *stage) picture(a *Attempt, k, at int, id, description string) template.HTML {
	v := views[k]
	var b svg
	name := id + "-" + v.name
	b.put(`<svg class="cell" viewBox="%s" role="img" aria-labelledby="%s-t %s-d">`, s.box(k), name, name)
	b.put(`<title id="%s-t">%s</title><desc id="%s-d">%s</desc>`, name, v.title, name, text(description))
	b.put(`%s`, s.scenery(k, name+"-cell"))
	b.put(`<g class="moving" data-view="%s">%s</g>`, v.name, s.arm(k, at))
	b.put(`%s`, s.path(k))
	s.names(&b, a, k)
	b.put(`</svg>`)
	return b.html()
}

// still draws a small picture of a moment; the scenery is that of the main one.
func (s *stage) still(k, i int, id string) template.HTML {
	var b svg
	b.put(`<svg class="cell" viewBox="%s" aria-hidden="true" focusable="false"><use href="#%s-%s-cell"/><g class="moving">%s</g></svg>`, s.box(k), id, views[k].name, s.arm(k, i))
	return b.html()
}

// moment is a moment worth a picture of its own.
type moment struct {
	sample int
	text   string
}

// sameMoment is how close in time two moments share a picture, s.
const sameMoment = 0.02

// mostMoments is how many moments get a picture.
const mostMoments = 6

// moments chooses the moments: those of the findings, the gravest first; where
// there are few of them also those where least was left.
func (s *stage) moments(a *Attempt) (out []moment) {
	add := func(i int, text string) {
		for k := range out {
			switch {
			case math.Abs(s.graphs.Times[out[k].sample]-s.graphs.Times[i]) > sameMoment:
			case !slices.Contains(strings.Split(out[k].text, ", "), text):
				out[k].text += ", " + text
				return
			default:
				return
			}
		}
		if len(out) < mostMoments {
			out = append(out, moment{i, text})
		}
	}
	for i := range a.Mark.Findings[:min(len(a.Mark.Findings), mostShown)] {
		if f := &a.Mark.Findings[i]; hasMoment(f) && f.From <= s.until && s.by[i] == i {
			add(s.momentOf(a, i), cmp.Or(letter(s.rank[i]), a.Mark.Findings[i].Code))
		}
	}
	if len(out) < 3 {
		if c := &s.graphs.All[0].Curves[0]; c.Extreme.Unit != "" && c.At <= s.until {
			add(s.at(c.At), "fastest")
		}
		if c := &s.graphs.All[1].Curves[0]; c.Extreme.Unit != "" && !math.IsInf(c.Extreme.Hi, 1) && c.At <= s.until {
			add(s.at(c.At), "closest")
		}
		add(0, "start")
		if s.until == s.exam.Motion.Duration {
			add(len(s.states)-1, "end")
		}
	}
	slices.SortStableFunc(out, func(a, b moment) int { return cmp.Compare(a.sample, b.sample) })
	for i := range out {
		m := &out[i]
		m.text = fmt.Sprintf("%s: %s s", m.text, report.Number(s.graphs.Times[m.sample], "s"))
		if step := s.step(m.sample); step != "" {
			m.text += ", step " + step
		}
	}
	return out
}

// momentOf is the sample that finding i is about: where in its time span the tool
// is nearest to its place.
func (s *stage) momentOf(a *Attempt, i int) int {
	f := &a.Mark.Findings[i]
	best := s.at(f.From)
	if !f.HasPlace || f.To <= f.From {
		return best
	}
	place, least := s.world(f.Place), math.Inf(1)
	for k := best; k < len(s.states) && s.graphs.Times[k] <= f.To; k++ {
		if d := s.states[k].TCP.T.Sub(place).Norm(); d < least-1e-6 {
			best, least = k, d
		}
	}
	return best
}
