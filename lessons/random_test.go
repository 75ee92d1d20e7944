package lessons

import (
	"encoding/binary"
	"fmt"
	"io/fs"
	"math"
	"path"
	"slices"
	"testing"

	"posework/engine/program"
	"posework/kin"
)

// draws takes choices from bytes, so that a fuzzer that changes a byte changes a
// choice. When they run out every choice is the first one.
type draws struct{ data []byte }

func (d *draws) byte() byte {
	if len(d.data) == 0 {
		return 0
	}
	b := d.data[0]
	d.data = d.data[1:]
	return b
}

// one returns a number from 0 to n-1, n at most 256.
func (d *draws) one(n int) int { return int(d.byte()) % n }

// part returns a number from 0 to 1, both included.
func (d *draws) part() float64 {
	return float64(binary.LittleEndian.Uint16([]byte{d.byte(), d.byte()})) / math.MaxUint16
}

// between returns a number from a to b.
func (d *draws) between(a, b float64) float64 { return a + d.part()*(b-a) }

// size returns a number whose order of magnitude is drawn, from least to most.
func (d *draws) size(least, most float64) float64 {
	return least * math.Pow(most/least, d.part())
}

// randomProgram makes a valid program for the task of a lesson: a good answer
// with poses moved and steps put in, or one from nothing.
type randomProgram struct {
	*draws
	lesson   *Lesson
	p        program.Program
	places   []string // poses written by place
	frames   []string
	executed int
}

// drawProgram returns a program's text, and the lesson that it is for.
func drawProgram(lessons []*Lesson, data []byte) (*Lesson, []byte) {
	d := &draws{data}
	r := &randomProgram{draws: d, lesson: lessons[d.one(len(lessons))]}
	if answers := goodAnswers(r.lesson); d.one(4) > 0 {
		r.p = answers[d.one(len(answers))]
	}
	r.frames = []string{"base", "world"}
	for i := range r.lesson.Cell.Frames {
		r.frames = append(r.frames, r.lesson.Cell.Frames[i].Name)
	}
	if r.p.Tool.Name == "" {
		r.p.Tool.Name = r.tool()
	}
	for i := range r.p.Poses {
		if d.one(6) == 5 {
			r.nudge(&r.p.Poses[i])
		}
	}
	for range d.one(12) {
		r.pose()
	}
	if len(r.p.Poses) == 0 {
		r.pose()
	}
	r.taught()
	for i := range r.p.Poses {
		if !r.p.Poses[i].ByAxes {
			r.places = append(r.places, r.p.Poses[i].Name)
		}
	}
	for i := range r.p.Steps {
		if d.one(6) == 5 {
			r.change(&r.p.Steps[i])
		}
	}
	for range d.one(3) {
		r.routine()
	}
	for range d.one(12) {
		at := int(d.byte()) * len(r.p.Steps) / 255
		r.p.Steps = slices.Insert(r.p.Steps, at, r.step(0))
	}
	if len(r.p.Steps) == 0 {
		r.p.Steps = append(r.p.Steps, r.move())
	}
	return r.lesson, program.Format(&r.p)
}

// goodAnswers reads the good answers of a lesson.
func goodAnswers(lesson *Lesson) (all []program.Program) {
	files, _ := fs.Glob(Embedded(), path.Join(lesson.Dir, "answers", "good*.yaml")) // the pattern is sound
	for _, file := range slices.DeleteFunc(files, isLog) {
		if data, err := fs.ReadFile(Embedded(), file); err == nil {
			if p, l := program.Read(file, data); len(l) == 0 {
				all = append(all, *p)
			}
		}
	}
	return all
}

func (r *randomProgram) tool() string {
	tools := r.lesson.Cell.Tools
	if len(r.p.Tools) > 0 && r.one(3) == 2 {
		return r.p.Tools[0].Name
	}
	if len(tools) == 0 {
		return "flange"
	}
	return tools[r.one(len(tools))].Name
}

// axes draws a setting of the axes: anywhere within the limits, at a limit, next
// to or on each kind of alignment.
func (r *randomProgram) axes() (q kin.Joints) {
	m := r.lesson.Cell.Arm
	for i := range q {
		q[i] = r.between(m.Limits[i].Min, m.Limits[i].Max)
	}
	if r.one(2) == 0 {
		q = kin.Joints{q[0] / 4, q[1] / 4, q[2] / 4, q[3] / 8, math.Pi / 3, q[5] / 8}
	}
	off := []float64{0, 1e-9, 1e-6, 1e-4, 1e-3, 1e-2}[r.one(6)]
	switch r.one(6) {
	case 1: // the wrist in line
		q[4] = off
	case 2: // the elbow stretched: at the edge of the reach
		q[2] = r.stretched(q) + off
	case 3: // at a limit
		i := r.one(6)
		q[i] = m.Limits[i].Max - off
	case 4:
		i := r.one(6)
		q[i] = m.Limits[i].Min + off
	}
	for i := range q {
		q[i] = max(m.Limits[i].Min, min(m.Limits[i].Max, q[i]))
	}
	return q
}

// stretched returns the angle of axis 3 at which the wrist is farthest from axis 2.
func (r *randomProgram) stretched(q kin.Joints) float64 {
	m := r.lesson.Cell.Arm
	far := func(a float64) float64 {
		var f kin.Frames
		q[2] = a
		m.Chain.Forward(&q, &f)
		return f[4].T.Sub(f[1].T).Norm()
	}
	best, step := 0.0, math.Pi/8
	for ; step > 1e-12; step /= 2 {
		for far(best+step) > far(best) {
			best += step
		}
		for far(best-step) > far(best) {
			best -= step
		}
	}
	return best
}

// pose adds a pose.
func (r *randomProgram) pose() {
	p := program.Pose{Name: fmt.Sprintf("p%d", len(r.p.Poses)), Frame: program.Ref{Name: "base"}}
	q := r.axes()
	if r.one(3) == 0 {
		p.ByAxes, p.Axes = true, q
		r.p.Poses = append(r.p.Poses, p)
		return
	}
	if n := len(r.p.Poses); n > 0 && r.one(2) == 0 { // near another one
		from := r.p.Poses[r.one(n)]
		if !from.ByAxes {
			from.Name = p.Name
			r.nudge(&from)
			r.p.Poses = append(r.p.Poses, from)
			return
		}
		q = from.Axes
	}
	// The tool's place where the axes put it, and on from there.
	var f kin.Frames
	r.lesson.Cell.Arm.Chain.Forward(&q, &f)
	tcp := f[6]
	for i := range r.lesson.Cell.Tools {
		if t := &r.lesson.Cell.Tools[i]; t.Name == r.p.Tool.Name {
			tcp = tcp.Mul(&t.TCP)
		}
	}
	inv := r.lesson.Cell.Mount.Inv()
	place := inv.Mul(&tcp)
	roll, pitch, yaw := place.R.RPY()
	p.XYZ, p.RPY = place.T, kin.Vec{X: roll, Y: pitch, Z: yaw}
	if r.one(3) == 0 {
		p.Frame.Name = r.frames[r.one(len(r.frames))]
		p.XYZ = kin.Vec{X: r.between(-400, 400), Y: r.between(-400, 400), Z: r.between(-50, 400)}
	}
	r.nudge(&p)
	r.p.Poses = append(r.p.Poses, p)
}

// nudge moves a pose by anything from nothing to a metre, along an axis or not.
func (r *randomProgram) nudge(p *program.Pose) {
	by := []float64{0, 1e-6, 1e-3, 0.1, 1, 10, 30, 200}[r.one(8)]
	turn := []float64{0, 0, 1e-6, 1e-3, 0.1, 1, math.Pi}[r.one(7)]
	if p.ByAxes {
		p.Axes[r.one(6)] += turn
		return
	}
	dir := []kin.Vec{{X: 1}, {Y: 1}, {Z: 1}, {X: -1}, {Y: -1}, {Z: -1}, {X: r.between(-1, 1), Y: r.between(-1, 1), Z: r.between(-1, 1)}}[r.one(7)]
	p.XYZ = p.XYZ.AddScaled(by, dir)
	p.RPY = p.RPY.AddScaled(turn, dir)
	if r.one(4) == 3 {
		p.Config = &kin.Config{Back: r.one(2) == 1, Down: r.one(2) == 1, Flipped: r.one(2) == 1}
	}
}

// taught adds a frame and a tool taught by poses by axes, and poses in the frame.
func (r *randomProgram) taught() {
	if r.one(5) < 4 {
		return
	}
	// Four poses that follow each other, by axes so that nothing is taught by itself.
	var four [4]program.Ref
	for i := range four {
		p := program.Pose{Name: fmt.Sprintf("taught-%d", i), ByAxes: true, Axes: r.axes()}
		four[i].Name = p.Name
		r.p.Poses = append(r.p.Poses, p)
	}
	r.p.Frames = append(r.p.Frames, program.TaughtFrame{Name: "taught-frame", Origin: four[0], AlongX: four[1], InPlan: four[2]})
	r.p.Tools = append(r.p.Tools, program.TaughtTool{Name: "taught-tool", Touches: four[:]})
	r.frames = append(r.frames, "taught-frame")
	for range 3 {
		r.pose()
	}
}

// most is how many steps a program made here executes at most: it is to be
// graded some hundred times a second.
const most = 60

func (r *randomProgram) step(depth int) program.Step {
	switch k := r.one(16); {
	case k < 9 || depth > 2 || r.executed > most:
		return r.move()
	case k < 11:
		return r.signal()
	case k == 11:
		return program.Step{Kind: program.Pause, Pause: r.size(1e-3, program.MaxSeconds)}
	case k == 12:
		switch d := r.one(3); {
		case d == 2 && len(r.p.Routines) > 0:
			return r.call()
		case d == 1:
			return r.payload()
		}
		return program.Step{Kind: program.SelectTool, Tool: program.Ref{Name: r.tool()}}
	default:
		s := program.Step{Kind: program.Repeat, Times: 1 + r.one(5)}
		if r.one(2) == 1 {
			s.Shift.Frame.Name = r.frames[r.one(len(r.frames))]
			s.Shift.By = kin.Vec{X: r.between(-50, 50), Y: r.between(-50, 50), Z: r.size(1e-3, 50)}
		}
		for range 1 + r.one(3) {
			s.Steps = append(s.Steps, r.step(depth+1))
		}
		r.executed += s.Times * len(s.Steps)
		return s
	}
}

// payload tells a load: nothing, that of a step of the program told again, or
// any that can be written.
func (r *randomProgram) payload() program.Step {
	s := program.Step{Kind: program.SetPayload}
	told := slices.DeleteFunc(slices.Clone(r.p.Steps), func(s program.Step) bool { return s.Kind != program.SetPayload })
	switch k := r.one(3); {
	case k == 1 && len(told) > 0:
		s.Load = told[r.one(len(told))].Load
	case k > 0:
		at := func() float64 { return r.between(-program.MaxLoadMM, program.MaxLoadMM) }
		s.Load = program.Payload{Mass: r.size(1e-3, program.MaxKilograms), At: kin.Vec{X: at(), Y: at(), Z: at()}}
	}
	return s
}

// routine adds a routine, which may call those that were added before it.
func (r *randomProgram) routine() {
	added := program.Routine{Name: fmt.Sprintf("routine-%d", len(r.p.Routines))}
	for range 1 + r.one(3) {
		added.Steps = append(added.Steps, r.step(1))
	}
	r.p.Routines = append(r.p.Routines, added)
}

func (r *randomProgram) call() program.Step {
	called := &r.p.Routines[r.one(len(r.p.Routines))]
	r.executed += len(called.Steps)
	return program.Step{Kind: program.Call, Call: program.Ref{Name: called.Name}}
}

func (r *randomProgram) signal() program.Step {
	all := r.lesson.Cell.Signals
	if len(all) == 0 {
		return program.Step{Kind: program.Pause, Pause: 0.1}
	}
	i := r.one(len(all))
	sig := []program.Signal{{Name: all[i].Name, On: r.one(2) == 1}}
	if all[i].Output {
		for k := range all { // at the same moment
			if k != i && all[k].Output && r.one(4) == 3 {
				sig = append(sig, program.Signal{Name: all[k].Name, On: r.one(2) == 1})
			}
		}
		return program.Step{Kind: program.Set, Signals: sig}
	}
	s := program.Step{Kind: program.Wait, Signals: sig}
	if r.one(8) < 7 {
		s.AtMost = r.size(1e-3, program.MaxSeconds)
	}
	return s
}

func (r *randomProgram) move() program.Step {
	r.executed++
	s := program.Step{Kind: program.Move}
	r.change(&s)
	return s
}

// change makes a move another one.
func (r *randomProgram) change(s *program.Step) {
	if s.Kind != program.Move {
		return
	}
	pose := func() program.Ref {
		if len(r.places) > 0 && r.one(4) > 0 {
			return program.Ref{Name: r.places[r.one(len(r.places))]}
		}
		return program.Ref{Name: r.p.Poses[r.one(len(r.p.Poses))].Name}
	}
	s.To, s.Through = pose(), program.Ref{}
	switch s.Path = []program.Path{program.Joint, program.Line, program.Line, program.Arc}[r.one(4)]; s.Path {
	case program.Joint:
		s.Speed = program.Speed{Share: r.size(1e-4, 1)}
	case program.Arc:
		if s.Through = pose(); s.Through == s.To { // the reader does not take that
			s.Path, s.Through = program.Line, program.Ref{}
		}
		fallthrough
	default:
		s.Speed = program.Speed{MMS: r.size(1e-3, program.MaxSpeedMMS)}
	}
	s.FlyBy = 0
	if r.one(2) == 1 {
		s.FlyBy = r.size(1e-3, program.MaxFlyByMM)
	}
}

// tasks lists the lessons that have a task.
func tasks(t testing.TB) (all []*Lesson) {
	for _, lesson := range embeddedCourse(t).Lessons {
		if lesson.Task != nil && lesson.Cell != nil {
			all = append(all, lesson)
		}
	}
	return all
}
