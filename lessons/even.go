package lessons

import (
	"fmt"
	"math"
	"slices"

	"posework/engine/diag"
	"posework/grader"
	"posework/kin"
)

// Spread tells how even the difficulty of a varied lesson is: what one good
// answer takes and leaves over in the cells of many learners.
type Spread struct {
	Lesson    *Lesson
	Answer    string // its file name
	Cells     int    // in which it was graded
	Time      Range  // s
	Clearance Range  // mm; see [grader.Ease]
	Wrist     Range  // deg, of axis 5 from alignment on lines and arcs
}

// Range holds values of many cells. It is NaN where there is nothing to measure.
type Range struct{ Least, Median, Most float64 }

// The difficulty of a lesson is even when no learner's cell asks for much more
// than another one. The bounds are this course's choice.
const (
	mostTimeSpread      = 0.15 // of the median
	mostClearanceSpread = 25   // mm
	mostWristSpread     = 10   // deg
)

// sampled is how many learners' cells are looked at beside the corners of the
// ranges, and sampledFlawed how many for flawed answers.
const (
	sampled       = 4
	sampledFlawed = 1
)

// mostVaried is how many numbers of a cell may vary: each doubles the corners.
const mostVaried = 6

// corners returns the lesson with every number at one end of its range, in all
// 2^n ways: the first with all least, the last with all greatest.
func (lesson *Lesson) corners() (all [][]Own) {
	vary := lesson.Task.Vary
	for bits := range 1 << len(vary) {
		own := make([]Own, len(vary))
		for i := range vary {
			k := 0
			if bits>>i&1 == 1 {
				k = vary[i].Values() - 1
			}
			own[i] = ownValue(&vary[i], k)
		}
		all = append(all, own)
	}
	return all
}

// cells returns the lesson in the cells that the linter looks at: at all corners
// of the ranges, and those of a few learners.
func (c *checker) cells(lesson *Lesson) (atCorners, ofLearners []*Lesson) {
	build := func(own []Own) *Lesson {
		v, wrong := lesson.with(own)
		if v == nil {
			c.add(lesson.Task.Vary[0].Pos, "T143", "narrow the ranges", "the cell can't be built where %s: %s", owns(own), wrong[0].Text)
		}
		return v
	}
	for _, own := range lesson.corners() {
		if v := build(own); v != nil {
			atCorners = append(atCorners, v)
		}
	}
	for seed := range uint64(sampled) {
		if v := build(lesson.drawn(seed + 1)); v != nil {
			ofLearners = append(ofLearners, v)
		}
	}
	return atCorners, ofLearners
}

func owns(own []Own) string {
	text := ""
	for i, o := range own {
		if i > 0 {
			text += ", "
		}
		text += o.String()
	}
	return text
}

// vary looks at a lesson's answers in the cells of learners: each good answer
// must score 100 in all of them with about the same effort, and no flawed one may
// pass.
func (c *checker) vary(lesson *Lesson, answers []answer) (spreads []Spread) {
	if n := len(lesson.Task.Vary); n > mostVaried {
		c.add(lesson.Task.Vary[0].Pos, "T140", "take ranges away", "%d numbers of the cell vary, but at most %d may", n, mostVaried)
		return nil
	}
	atCorners, ofLearners := c.cells(lesson)
	if len(atCorners) > 0 {
		c.named(lesson, atCorners[0])
	}
	few := slices.Concat(atCorners[max(0, len(atCorners)-1):], ofLearners[:min(sampledFlawed, len(ofLearners))])
	for _, a := range answers {
		data := read(c.fsys, a.path, &c.list)
		if data == nil {
			continue
		}
		opt := grader.Options{Log: c.log(a)}
		if !a.good {
			for _, v := range few {
				m, l := grader.Grade(v.Cell, v.Task, a.path, data, opt)
				if len(l) == 0 && m.Passed {
					c.add(a.pos, "T142", "make the flaw larger, or narrow the ranges", "the flawed answer passes with %.4g points where %s", m.Points, owns(v.Own))
					break
				}
			}
			continue
		}
		s, ok := c.spread(lesson, a, data, opt, slices.Concat(atCorners, ofLearners))
		if ok {
			spreads = append(spreads, s)
			c.even(a, s)
		}
	}
	return spreads
}

// spread grades a good answer in many cells. It is not ok when the answer fails
// in one of them, which is reported.
func (c *checker) spread(lesson *Lesson, a answer, data []byte, opt grader.Options, cells []*Lesson) (s Spread, ok bool) {
	var time, clearance, wrist []float64
	for _, v := range cells {
		x, l := grader.Prepare(v.Cell, v.Task, a.path, data, opt)
		if len(l) > 0 {
			c.failsIn(a, v, l[0].Pos, l[0].Text)
			return s, false
		}
		if m := grader.Examine(x); !flawless(m) {
			pos, text := a.pos, fmt.Sprintf("it scores %.4g", m.Points)
			if len(m.Findings) > 0 {
				f := &m.Findings[0]
				pos, text = f.Pos, f.Code+", "+f.Text
			}
			c.failsIn(a, v, pos, text)
			return s, false
		}
		e := x.Ease()
		time, clearance, wrist = append(time, e.Time), append(clearance, e.Clearance), append(wrist, kin.Deg(e.Wrist))
	}
	return Spread{lesson, a.name, len(cells), rangeOf(time), rangeOf(clearance), rangeOf(wrist)}, true
}

func (c *checker) failsIn(a answer, v *Lesson, pos diag.Pos, text string) {
	if pos.Line == 0 {
		pos = a.pos
	}
	c.add(pos, "T141", "write its poses in the frame that moves, or narrow the ranges", "a good answer fails where %s: %s", owns(v.Own), text)
}

// rangeOf leaves out values of cells in which there was nothing to measure.
func rangeOf(values []float64) Range {
	v := slices.DeleteFunc(slices.Clone(values), math.IsNaN)
	if len(v) == 0 {
		return Range{math.NaN(), math.NaN(), math.NaN()}
	}
	slices.Sort(v)
	return Range{v[0], (v[(len(v)-1)/2] + v[len(v)/2]) / 2, v[len(v)-1]}
}

// even reports a spread that is too wide.
func (c *checker) even(a answer, s Spread) {
	tell := func(what string, r Range, unit, bound string) {
		c.add(a.pos, "T144", "narrow the ranges", "the %s runs from %.3g to %.3g %s from learner to learner; %s are allowed", what, r.Least, r.Most, unit, bound)
	}
	if r := s.Time; r.Most-r.Least > mostTimeSpread*r.Median {
		tell("time of this answer", r, "s", fmt.Sprintf("%g %% of the median", 100*mostTimeSpread))
	}
	if r := s.Clearance; r.Most-r.Least > mostClearanceSpread {
		tell("least clearance of this answer", r, "mm", fmt.Sprintf("%d mm", mostClearanceSpread))
	}
	if r := s.Wrist; r.Most-r.Least > mostWristSpread {
		tell("room of the wrist in this answer", r, "deg", fmt.Sprintf("%d deg", mostWristSpread))
	}
}
