// Package rehearsal invents classes to measure with: programs of twenty steps as
// learners write them, some right, most with a mistake or two. The learners, like
// the cell, are made up. Only tests and benchmarks use it.
package rehearsal

import (
	"fmt"
	"io/fs"
	"iter"
	"math/rand/v2"
	"path"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"posework/lessons"
)

// Steps is how many steps each program has.
const Steps = 20

// HandIn is one learner's program.
type HandIn struct {
	Learner, Lesson string
	Text            []byte
}

// answers are the programs that others are made of: one step or pose a line, not
// more than twenty steps.
var answers = map[string]string{
	"approach-the-crate":  "good-step-by-step.yaml",
	"speeds-and-rounding": "good-stops-everywhere.yaml",
	"round-the-post":      "good-high-joint-moves.yaml",
	"handshakes":          "good-step-by-step.yaml",
}

// Lessons are the lessons that programs can be invented for.
func Lessons() []string {
	return []string{"approach-the-crate", "handshakes", "round-the-post", "speeds-and-rounding"}
}

// Class invents the programs of n learners for lessons of the course in turn. The
// same seed invents the same class.
func Class(course *lessons.Course, fsys fs.FS, ids []string, n int, seed uint64) iter.Seq[HandIn] {
	return func(yield func(HandIn) bool) {
		rnd := rand.New(rand.NewPCG(seed, 20))
		bases := make([][]string, len(ids))
		for i, id := range ids {
			data, err := fs.ReadFile(fsys, path.Join(course.Find(id).Dir, "answers", answers[id]))
			if err != nil {
				panic("rehearsal: " + err.Error())
			}
			bases[i] = strings.Split(strings.TrimRight(string(data), "\n"), "\n")
		}
		for i := range n {
			p := program{rnd: rnd, lines: slices.Clone(bases[i%len(ids)])}
			p.vary()
			p.pad()
			for range rnd.IntN(4) {
				p.mistake()
			}
			h := HandIn{Learner: fmt.Sprintf("Learner %05d", i+1), Lesson: ids[i%len(ids)], Text: []byte(strings.Join(p.lines, "\n") + "\n")}
			if !yield(h) {
				return
			}
		}
	}
}

var (
	stepLine = regexp.MustCompile(`^  - \{`)
	poseLine = regexp.MustCompile(`^  ([\w-]+): \{xyz: \[([-\d.]+), ([-\d.]+), ([-\d.]+)\], rpy: \[([^\]]*)\], frame: ([\w-]+)\}`)
	toHigh   = regexp.MustCompile(`\{to: ([\w-]+-high),`)
	speed    = regexp.MustCompile(`speed: ([\d.]+) (%|mm/s)`)
)

type program struct {
	rnd   *rand.Rand
	lines []string
}

// steps lists the lines that are steps.
func (p *program) steps() []int {
	var list []int
	for i, l := range p.lines {
		if stepLine.MatchString(l) {
			list = append(list, i)
		}
	}
	return list
}

// around is a number within a range around zero, to a tenth.
func (p *program) around(most float64) float64 {
	return float64(int((p.rnd.Float64()*2-1)*most*10)) / 10
}

// vary gives every pose and every speed a little of its own, within what the
// lessons allow.
func (p *program) vary() {
	for i := range p.lines {
		p.move(i, p.around(0.5), p.around(0.5), 0)
		p.scale(i, 1-0.3*p.rnd.Float64())
	}
}

// move shifts the pose in a line, mm.
func (p *program) move(i int, dx, dy, dz float64) {
	m := poseLine.FindStringSubmatch(p.lines[i])
	if m == nil {
		return
	}
	p.lines[i] = fmt.Sprintf("  %s: {xyz: [%.1f, %.1f, %.1f], rpy: [%s], frame: %s}", m[1], number(m[2])+dx, number(m[3])+dy, number(m[4])+dz, m[5], m[6])
}

// scale changes the speed in a line.
func (p *program) scale(i int, by float64) {
	m := speed.FindStringSubmatch(p.lines[i])
	if m == nil {
		return
	}
	v := number(m[1]) * by
	if m[2] == "%" {
		v = min(v, 100)
	}
	p.lines[i] = strings.Replace(p.lines[i], m[0], fmt.Sprintf("speed: %.0f %s", max(1, v), m[2]), 1)
}

// pad adds poses in free air until there are twenty steps.
func (p *program) pad() {
	for n := 1; len(p.steps()) < Steps; n++ {
		var high []int
		for _, i := range p.steps() {
			if toHigh.MatchString(p.lines[i]) {
				high = append(high, i)
			}
		}
		at := high[p.rnd.IntN(len(high))]
		name := toHigh.FindStringSubmatch(p.lines[at])[1]
		for i, l := range p.lines {
			m := poseLine.FindStringSubmatch(l)
			if m == nil || m[1] != name {
				continue
			}
			pose := fmt.Sprintf("  way-%d: {xyz: [%.1f, %.1f, %.1f], rpy: [%s], frame: %s}", n, number(m[2])+p.around(15), number(m[3])+p.around(15), number(m[4])+20+p.around(10), m[5], m[6])
			step := fmt.Sprintf("  - {to: way-%d, path: line, speed: %d mm/s, end: fly-by %d mm}", n, 100+p.rnd.IntN(100), 5+p.rnd.IntN(5))
			if p.rnd.IntN(2) == 0 {
				step = fmt.Sprintf("  - {to: way-%d, path: joint, speed: %d %%, end: stop}", n, 5+p.rnd.IntN(10))
			}
			p.lines = slices.Insert(p.lines, at+1, step)
			p.lines = slices.Insert(p.lines, i+1, pose)
			break
		}
	}
}

// mistake makes one of the usual mistakes; the number of steps stays.
func (p *program) mistake() {
	steps := p.steps()
	i := p.rnd.IntN(len(steps))
	at := steps[i]
	switch p.rnd.IntN(8) {
	case 0:
		p.scale(at, 2)
	case 1:
		p.scale(at, 4)
	case 2:
		p.lines[at] = strings.Replace(p.lines[at], "end: stop", fmt.Sprintf("end: fly-by %d mm", 5+p.rnd.IntN(40)), 1)
	case 3:
		p.lines[at] = "  - {pause: 0.2 s}" // left out
	case 4:
		if i > 0 {
			p.lines[at], p.lines[steps[i-1]] = p.lines[steps[i-1]], p.lines[at]
		}
	case 5:
		p.move(p.rnd.IntN(steps[0]), 0, 0, -20)
	case 6:
		p.move(p.rnd.IntN(steps[0]), 20, p.around(10), 0)
	case 7:
		if p.rnd.IntN(10) == 0 {
			p.lines[at] = strings.Replace(p.lines[at], "path:", "paht:", 1)
		}
	}
}

func number(s string) float64 {
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		panic("rehearsal: " + err.Error())
	}
	return v
}
