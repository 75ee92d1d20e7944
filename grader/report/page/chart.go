package page

import (
	"cmp"
	"fmt"
	"html/template"
	"math"
	"slices"
	"strings"

	"posework/grader"
	"posework/grader/report"
)

// chart is one quantity over time: its name, its numbers in words, its drawing.
type chart struct {
	Title      string
	Words      []string // the extreme, the limits
	Top, Floor string   // what the ends of the scale stand for
	Small      bool     // one of many of its kind
	Drawing    template.HTML
}

// charts draws all quantities.
func (s *stage) charts(a *Attempt, id string) (out []chart) {
	for i := range s.graphs.All {
		g := &s.graphs.All[i]
		c := s.chart(g, fmt.Sprintf("%s-c%d", id, i+1), s.dots(a, g))
		out = append(out, c)
	}
	return out
}

// dot is the certified value of a finding in a chart.
type dot struct {
	t, v   float64
	letter string
}

// dots are the findings that a chart shows.
func (s *stage) dots(a *Attempt, g *grader.Graph) (out []dot) {
	for i := range a.Mark.Findings[:min(len(a.Mark.Findings), mostShown)] {
		f := &a.Mark.Findings[i]
		if f.From != f.To || f.From > s.until || f.Measured.Unit == "" {
			continue
		}
		v := f.Measured.Lo
		switch {
		case g.Unit == "mm/s" && f.Measured.Unit == "mm/s" && f.Check != "traces":
		case g.Name == "clearance" && f.Check == "clearance":
			v = f.Measured.Hi - f.Limit.Lo
		case f.Check == "axis-room" && f.Subject == g.Name:
			v = f.Measured.Hi
		case f.Check == "singularity-room" && f.Code == "NEAR_"+strings.ToUpper(g.Name)+"_SINGULARITY":
			v = f.Measured.Hi
		default:
			continue
		}
		out = append(out, dot{f.From, v, letter(s.rank[i])})
	}
	return out
}

// plot maps time and value to the plane of a chart: 1000 wide, 100 high.
type plot struct {
	duration, lo, hi float64
}

func (p *plot) x(t float64) float64 { return 1000 * t / p.duration }
func (p *plot) y(v float64) float64 {
	return 100 * (p.hi - min(max(v, p.lo), p.hi)) / (p.hi - p.lo)
}

func (s *stage) chart(g *grader.Graph, id string, dots []dot) chart {
	c := chart{Title: chartTitle(g), Small: g.Unit != "mm/s" && g.Name != "clearance"}
	class := "large"
	if c.Small {
		class = "small"
	}
	p := s.scale(g, dots)
	c.Top, c.Floor = scaleWord(p.hi, g), scaleWord(p.lo, g)
	for _, w := range s.words(g) {
		c.Words = append(c.Words, visible(w))
	}

	var b svg
	b.put(`<svg class="plot %s" role="img" aria-labelledby="%s-t %s-d"><title id="%s-t">%s over time</title><desc id="%s-d">%s</desc>`,
		class, id, id, id, text(c.Title), id, text(strings.Join(c.Words, "; ")))
	b.put(`<svg class="plane" viewBox="0 0 1000 100" preserveAspectRatio="none" width="100%%" height="100%%">`)
	s.stripes(&b, &p)
	forbidden(&b, &p, g)
	if p.lo < 0 && p.hi > 0 {
		b.put(`<path class="zero" d="M0 %sH1000"/>`, num(p.y(0)))
	}
	for k := len(g.Curves) - 1; k >= 0; k-- {
		b.put(`<path class="curve c%d" d="%s"/>`, k+1, s.curve(&p, g.Curves[k].Values))
	}
	b.put(`</svg>`)
	for _, d := range dots {
		x, y := num(p.x(d.t)/10), p.y(d.v)
		b.put(`<circle class="dot" cx="%s%%" cy="%s%%" r="4"/><text class="dot-letter" x="%s%%" y="%s%%" dx="%d" dy="4">%s</text>`, x, num(y), x, num(min(max(y, 8), 92)), side(p.x(d.t)), d.letter)
	}
	b.put(`<line class="cursor" x1="0" x2="0" y1="0" y2="100%%"/></svg>`)
	c.Drawing = b.html()
	return c
}

// side is where the letter of a dot stands: right of it, left at the right end.
func side(x float64) int {
	if x > 960 {
		return -15
	}
	return 7
}

func chartTitle(g *grader.Graph) string {
	switch g.Name {
	case "tool speed":
		return "Tool speed"
	case "clearance":
		return "Clearance beyond what is asked"
	case "wrist":
		return "Wrist: room to axes 4 and 6 in line"
	case "elbow":
		return "Elbow: room to stretched or folded"
	case "shoulder":
		return "Shoulder: wrist centre to axis 1"
	}
	return strings.ToUpper(g.Name[:1]) + g.Name[1:] + ": room to its limits"
}

func scaleWord(v float64, g *grader.Graph) string {
	w := report.Number(v, g.Unit) + " " + g.Unit
	if g.Name == "clearance" && v == grader.ClearanceShown {
		w += " or more"
	}
	return w
}

// scale chooses the range of values: from 0 or below to a round number above
// all values and limits.
func (s *stage) scale(g *grader.Graph, dots []dot) plot {
	p := plot{duration: s.graphs.Times[len(s.graphs.Times)-1]}
	see := func(v float64) {
		if !math.IsNaN(v) && !math.IsInf(v, 0) {
			p.lo, p.hi = min(p.lo, v), max(p.hi, v)
		}
	}
	for _, c := range g.Curves {
		for _, v := range c.Values {
			see(v)
		}
	}
	for _, d := range dots {
		see(d.v)
	}
	for _, l := range g.Limits {
		see(l.Value * 1.15)
	}
	if g.Name == "clearance" {
		p.hi = grader.ClearanceShown
	} else {
		p.hi = round(p.hi)
	}
	if p.lo < 0 {
		p.lo = -round(-p.lo)
	}
	return p
}

// round rounds up to 1, 1.5, 2, 3, 4, 5, 6 or 8 times a power of ten.
func round(v float64) float64 {
	if !(v > 0) {
		return 1
	}
	unit := math.Pow(10, math.Floor(math.Log10(v)))
	for _, k := range [...]float64{1, 1.5, 2, 3, 4, 5, 6, 8, 10} {
		if v <= k*unit*(1+1e-9) {
			return k * unit
		}
	}
	return 10 * unit
}

// words are the numbers of a chart.
func (s *stage) words(g *grader.Graph) (out []string) {
	least := "least"
	if g.Unit == "mm/s" {
		least = "greatest"
	}
	for _, c := range g.Curves {
		head := ""
		if len(g.Curves) > 1 {
			head = c.Name + ": "
		}
		switch {
		case c.Extreme.Unit == "":
			continue
		case math.IsInf(c.Extreme.Hi, 1):
			out = append(out, fmt.Sprintf("nowhere less than %s mm more than is asked", report.Number(c.Extreme.Lo, "mm")))
			continue
		}
		i := s.at(c.At)
		w := fmt.Sprintf("%s%s %s at %s s", head, least, report.Measured(c.Extreme), report.Number(c.At, "s"))
		if step := s.step(i); step != "" && c.At <= s.until {
			w += ", step " + step
		}
		if g.Name == "wrist" || g.Name == "elbow" || g.Name == "shoulder" {
			w += ", on lines and arcs"
		}
		if c.Subject != nil && c.Subject[i] != "" {
			w += ", " + c.Subject[i]
		}
		out = append(out, w)
	}
	var seen []string
	for i, l := range g.Limits {
		if slices.ContainsFunc(g.Limits[:i], func(m grader.Limit) bool { return m.Value == l.Value }) {
			continue // named with the first of its value
		}
		w := "at least "
		switch {
		case g.Name == "clearance":
			seen = append(seen, "below 0 a pair is nearer than asked")
			continue
		case l.Most:
			w = "at most "
		}
		w += report.Number(l.Value, g.Unit) + " " + g.Unit
		if where := places(g.Limits, l.Value); where != "" {
			w += " " + where
		}
		seen = append(seen, w)
	}
	const most = 8
	if len(seen) > most {
		seen = append(seen[:most], fmt.Sprintf("and %d more limits", len(seen)-most))
	}
	return append(out, seen...)
}

// places says where the limits of one value hold, "" for everywhere.
func places(limits []grader.Limit, value float64) string {
	var names []string
	for _, l := range limits {
		switch {
		case l.Value != value || slices.Contains(names, l.Name):
		case l.Name == "":
			return ""
		default:
			names = append(names, l.Name)
		}
	}
	return strings.Join(names, ", ")
}

// stripes shades every other step.
func (s *stage) stripes(b *svg, p *plot) {
	steps := s.exam.Motion.Steps
	if len(steps) > 60 {
		return
	}
	var d strings.Builder
	dark := false
	for i := range steps {
		if steps[i].End-steps[i].Start < 1e-9 {
			continue
		}
		if dark {
			d.WriteString("M" + num(p.x(steps[i].Start)) + " 0H" + num(p.x(steps[i].End)) + "V100H" + num(p.x(steps[i].Start)) + "z")
		}
		dark = !dark
	}
	if d.Len() > 0 {
		b.put(`<path class="stripe" d="%s"/>`, d.String())
	}
}

// curve is a polyline of the samples, simplified to what can be seen; gaps where
// there are no values.
func (s *stage) curve(p *plot, values []float64) string {
	var d strings.Builder
	for from := 0; from < len(values); {
		if math.IsNaN(values[from]) {
			from++
			continue
		}
		to := from
		for to+1 < len(values) && !math.IsNaN(values[to+1]) {
			to++
		}
		line := make([]point, 0, to-from+1)
		for i := from; i <= to; i++ {
			line = append(line, point{p.x(s.graphs.Times[i]), p.y(values[i])})
		}
		for i, q := range simplify(line, 0.35) {
			d.WriteByte("ML"[min(i, 1)])
			d.WriteString(num(q.x) + " " + num(q.y))
		}
		from = to + 1
	}
	return d.String()
}

// forbidden draws the limit in force at each moment, the strictest where several
// are, and shades what lies beyond it.
func forbidden(b *svg, p *plot, g *grader.Graph) {
	if len(g.Limits) == 0 {
		return
	}
	cuts := []float64{0, p.duration}
	for _, l := range g.Limits {
		for _, span := range l.Spans {
			cuts = append(cuts, min(span[0], p.duration), min(span[1], p.duration))
		}
	}
	slices.SortFunc(cuts, cmp.Compare)
	cuts = slices.Compact(cuts)
	var area, line strings.Builder
	most := g.Limits[0].Most
	last, from := math.NaN(), 0.0
	flush := func(to float64) {
		if !math.IsNaN(last) && to > from {
			edge := "0"
			if !most {
				edge = "100"
			}
			x0, x1, y := num(p.x(from)), num(p.x(to)), num(p.y(last))
			area.WriteString("M" + x0 + " " + edge + "H" + x1 + "V" + y + "H" + x0 + "z")
			line.WriteString("M" + x0 + " " + y + "H" + x1)
		}
	}
	for i := range cuts[1:] {
		v := inForce(g.Limits, (cuts[i]+cuts[i+1])/2)
		if v != last && !(math.IsNaN(v) && math.IsNaN(last)) {
			flush(cuts[i])
			last, from = v, cuts[i]
		}
	}
	flush(p.duration)
	b.put(`<path class="beyond" d="%s"/><path class="limit" d="%s"/>`, area.String(), line.String())
}

// inForce is the strictest limit at a time, NaN when there is none.
func inForce(limits []grader.Limit, t float64) float64 {
	v := math.NaN()
	for _, l := range limits {
		on := l.Spans == nil
		for _, span := range l.Spans {
			on = on || t >= span[0] && t <= span[1]
		}
		switch {
		case !on:
		case math.IsNaN(v):
			v = l.Value
		case l.Most:
			v = min(v, l.Value)
		default:
			v = max(v, l.Value)
		}
	}
	return v
}

// timeline draws the steps as labels over the charts, and the time below them.
func (s *stage) timeline() (steps, ticks template.HTML) {
	d := s.graphs.Times[len(s.graphs.Times)-1]
	var b svg
	b.put(`<svg class="rule" height="18" aria-hidden="true" focusable="false">`)
	free := 0.0
	for i := range s.exam.Motion.Steps {
		st := &s.exam.Motion.Steps[i]
		mid := 100 * (st.Start + st.End) / 2 / d
		label := brief(st.Label)
		wide := 1.2 * float64(len(label)+1)
		if mid-wide/2 < free || mid+wide/2 > 100 || st.End-st.Start < 1e-9 {
			continue
		}
		free = mid + wide/2
		b.put(`<text class="tick" x="%s%%" y="13">%s</text>`, num(mid), text(label))
	}
	b.put(`</svg>`)
	steps = b.html()
	b = svg{}
	b.put(`<svg class="rule" height="20" aria-hidden="true" focusable="false">`)
	every := round(d / 7)
	for i := 0; float64(i)*every <= d*(1+1e-9) && i < 20; i++ {
		t := float64(i) * every
		class := "tick"
		switch {
		case i == 0:
			class = "tick first"
		case t > 0.97*d:
			class = "tick last"
		}
		b.put(`<text class="%s" x="%s%%" y="14">%s s</text>`, class, num(100*t/d), report.Number(t, "s"))
	}
	b.put(`</svg>`)
	return steps, b.html()
}
