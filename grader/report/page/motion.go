package page

import (
	"fmt"
	"html/template"
	"math"
	"slices"
	"strings"

	"posework/engine/motion"
	"posework/grader"
	"posework/grader/report"
)

// moving is what a part shows of the motion.
type moving struct {
	ID        string
	Summary   string
	Shown     string // which moment the pictures show at first
	Pictures  [2]template.HTML
	Legend    []legend
	Stills    []still
	StepRule  template.HTML
	Charts    []chart
	Small     []chart
	TimeRule  template.HTML
	Numbers   []numbers
	MoreSteps int
	Data      template.JS
	Until     string // s: the end of what is drawn
	Every     string // s from sample to sample
	HasZones  bool
}

// legend is a class of tool speed that occurs.
type legend struct {
	Class, Words string
}

// still is a moment as two pictures.
type still struct {
	Words    string
	Pictures [2]template.HTML
}

// numbers is one executed step as a row.
type numbers struct {
	Label, Words string
	From, To     string
	At           string // s, for the script
	Speed        string
	Clearance    string
	Room         string
}

// mostSteps is how many steps are listed.
const mostSteps = 120

func newMoving(a *Attempt, s *stage, id string) *moving {
	m := &moving{ID: id, Data: s.replay(), Until: report.Number(s.until, "s"), Every: report.Number(s.graphs.Times[len(s.graphs.Times)-1]/samples, "s"), HasZones: len(s.exam.Cell.Zones) > 0}
	m.Summary = s.summary()
	description := m.Summary + " " + s.things()
	moments := s.moments(a)
	first, what := 0, "the start"
	if i := slices.IndexFunc(a.Mark.Findings, func(f grader.Finding) bool { return hasMoment(&f) && f.From <= s.until }); i >= 0 && i < mostShown {
		first, what = s.momentOf(a, i), "finding "+letter(s.rank[i])
	}
	m.Shown = fmt.Sprintf("Shown: %s, %s s", what, report.Number(s.graphs.Times[first], "s"))
	for k := range views {
		m.Pictures[k] = s.picture(a, k, first, id, description)
	}
	m.Legend = s.legend()
	for _, at := range moments {
		st := still{Words: visible(at.text)}
		for k := range views {
			st.Pictures[k] = s.still(k, at.sample, id)
		}
		m.Stills = append(m.Stills, st)
	}
	for _, c := range s.charts(a, id) {
		if c.Small {
			m.Small = append(m.Small, c)
		} else {
			m.Charts = append(m.Charts, c)
		}
	}
	m.StepRule, m.TimeRule = s.timeline()
	m.numbers(s)
	return m
}

// summary says in a sentence or two what the motion is.
func (s *stage) summary() string {
	length := 0.0
	for i := range s.way[1:] {
		length += s.way[i+1].tcp.Sub(s.way[i].tcp).Norm()
	}
	words := fmt.Sprintf("The tool travels %s m in %s s.", report.Number(length/1000, "m"), report.Number(s.until, "s"))
	if s.until < s.exam.Motion.Duration {
		words = fmt.Sprintf("The motion takes %s s; path, graphs and replay show the first %s s.",
			report.Number(s.exam.Motion.Duration, "s"), report.Number(s.until, "s"))
	}
	if speed := &s.graphs.All[0].Curves[0]; speed.Extreme.Unit != "" {
		words += fmt.Sprintf(" It is fastest at %s s: %s.", report.Number(speed.At, "s"), report.Measured(speed.Extreme))
	}
	if h := s.exam.Motion.Halt; h != nil {
		words += " At its end it comes to a halt: what the program asks for after that could not be planned."
	}
	return words
}

// things lists what stands in the cell, for those who do not see the pictures.
func (s *stage) things() string {
	c := s.exam.Cell
	words := []string{"The arm " + c.Arm.Name + " in its cell."}
	add := func(what string, n int, name func(int) string) {
		const most = 30
		var list []string
		for i := range min(n, most) {
			list = append(list, name(i))
		}
		if n > most {
			list = append(list, fmt.Sprintf("%d more", n-most))
		}
		if n > 0 {
			words = append(words, what+": "+strings.Join(list, ", ")+".")
		}
	}
	add("Solids", len(c.Solids), func(i int) string { return c.Solids[i].Name })
	add("Zones", len(c.Zones), func(i int) string { return strings.TrimPrefix(zoneName(&c.Zones[i]), "zone ") })
	add("Frames", len(c.Frames), func(i int) string { return c.Frames[i].Name })
	add("Parts", len(c.Parts), func(i int) string { return c.Parts[i].Name })
	return strings.Join(words, " ")
}

// legend lists the classes of speed that the path has.
func (s *stage) legend() (out []legend) {
	var seen [len(speeds) + 1]bool
	for i := range s.way[1:] {
		seen[s.class(i)] = true
	}
	for i := range speeds {
		if seen[i+1] {
			out = append(out, legend{fmt.Sprintf("v%d", i+1), speeds[i].name})
		}
	}
	return out
}

// numbers lists the steps with what the samples show of each.
func (m *moving) numbers(s *stage) {
	steps := s.exam.Motion.Steps
	for i := range steps {
		if i == mostSteps {
			m.MoreSteps = len(steps) - i
			break
		}
		st := &steps[i]
		n := numbers{
			Label: visible(st.Label), Words: visible(st.Source.Say()),
			From: report.Number(st.Start, "s"), To: report.Number(st.End, "s"), At: report.Number(st.Start, "s"),
		}
		s.fill(&n, st)
		m.Numbers = append(m.Numbers, n)
	}
}

// fill reads the samples of a step.
func (s *stage) fill(n *numbers, st *motion.Step) {
	fastest, clear, room, axis := math.Inf(-1), math.Inf(1), math.Inf(1), ""
	for i := s.at(st.Start); i < len(s.states) && s.graphs.Times[i] <= st.End+1e-9; i++ {
		if s.graphs.Times[i] < st.Start-1e-9 {
			continue
		}
		fastest = max(fastest, s.graphs.All[0].Curves[0].Values[i])
		clear = min(clear, s.graphs.All[1].Curves[0].Values[i])
		for k := range s.graphs.All {
			if g := &s.graphs.All[k]; strings.HasPrefix(g.Name, "axis") && g.Curves[0].Values[i] < room {
				room, axis = g.Curves[0].Values[i], g.Name
			}
		}
	}
	if math.IsInf(fastest, 0) || st.End-st.Start < 1e-9 {
		return
	}
	n.Speed = report.Number(fastest, "mm/s")
	n.Clearance = report.Number(clear, "mm")
	if clear >= grader.ClearanceShown {
		n.Clearance += " or more"
	}
	n.Room = report.Number(room, "deg") + " (" + axis + ")"
}
