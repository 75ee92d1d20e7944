package grader

import (
	"fmt"
	"math"
	"slices"

	"posework/engine/cell"
	"posework/engine/motion"
	"posework/engine/program"
	"posework/engine/sweep"
	"posework/kin"
)

// handshake: before the arm comes to a work pose in a machine, the program has
// asked the machine and waited, clear of it, for its answer; afterwards it tells
// the machine that it is done. Anywhere else than between the two the arm keeps
// clear of it. Outputs are put into a known state first of all.
//
// Common practice: ask, wait with a limit, act, confirm. That a wait has a limit
// is judged by handles.
type handshake struct {
	at          kin.Pose // work pose: world to tool centre point
	name        string
	near        float64 // mm: a stop this close to it is a visit
	ask, answer int     // indices into Cell.Signals
	clearOf     []int   // indices into Cell.Solids
	away        float64 // mm kept from them while waiting
	outputs     []int   // indices into Cell.Signals
}

func decodeHandshake(d *decoder) Check {
	c := handshake{near: d.mm("near", 5), away: d.mm("away", 100)}
	at := d.m.Need("at")
	if at == nil {
		return nil
	}
	c.at, c.name = d.place(at), d.placeName(at)
	signal := func(n *sourceNode) int {
		return oneOf(n, "signals", d.cell.Signals, func(s cell.Signal) string { return s.Name })
	}
	c.ask, c.answer = signal(d.m.Need("ask")), signal(d.m.Need("answer"))
	for _, n := range names(d.m.Get("clear-of")) {
		if i := oneOf(n, "solids", d.cell.Solids, func(s cell.Solid) string { return s.Name }); i >= 0 {
			c.clearOf = append(c.clearOf, i)
		}
	}
	for _, n := range names(d.m.Get("outputs")) {
		if i := signal(n); i >= 0 {
			c.outputs = append(c.outputs, i)
		}
	}
	if c.ask < 0 || c.answer < 0 {
		return nil
	}
	return c
}

func (c handshake) Title() string { return "asked and answered before " + c.name }

func (c handshake) Run(x *Exam) Outcome {
	var out Outcome
	c.knownOutputs(x, &out)
	from := 0 // the first step of this round of ask and answer
	for _, i := range x.moves() {
		if distance, _ := apart(&x.Motion.Steps[i].Target, &c.at); distance > c.near {
			continue
		}
		if i < from {
			continue // still the same visit
		}
		c.round(x, &out, from, i)
		from = c.told(x, &out, i)
	}
	if from == 0 {
		out.Findings = append(out.Findings, x.missed("handshake", c.name, &c.at, c.near, x.moves()))
	}
	if len(out.Findings) == 0 { // else it is known already where the arm should not be
		c.keepsAway(x, &out)
	}
	return out
}

// knownOutputs judges that every output is set before anything moves.
func (c handshake) knownOutputs(x *Exam, out *Outcome) {
	for _, o := range c.outputs {
		name := x.Cell.Signals[o].Name
		known := false
		for i := range x.Motion.Steps {
			s := &x.Motion.Steps[i]
			// The move to the home pose where the arm stands already is no motion.
			if s.Source.Kind == program.Move && s.End > s.Start {
				break
			}
			known = known || s.Source.Kind == program.Set && setTo(s.Source, name) != nil
		}
		if !known {
			f := x.finding("handshake", "OUTPUT_UNKNOWN", -1)
			f.Subject = name
			f.Text = fmt.Sprintf("%s is not set before the arm moves", name)
			out.Findings = append(out.Findings, f)
		}
	}
}

// setTo returns what a step sets a signal to, nil when it does not.
func setTo(s *program.Step, name string) *bool {
	for i := range s.Signals {
		if s.Signals[i].Name == name {
			return &s.Signals[i].On
		}
	}
	return nil
}

// round judges what led to the visit at step i: the steps [from, i).
func (c handshake) round(x *Exam, out *Outcome, from, i int) {
	ask, answer := x.Cell.Signals[c.ask].Name, x.Cell.Signals[c.answer].Name
	asked, waited := -1, -1
	for k := from; k < i; k++ {
		s := x.Motion.Steps[k].Source
		switch {
		case s.Kind == program.Set:
			if on := setTo(s, ask); on != nil {
				if asked, waited = -1, -1; *on {
					asked = k
				}
			}
		case s.Kind == program.Wait && asked >= 0 && s.Signals[0].Name == answer && s.Signals[0].On:
			waited = k
		}
	}
	switch {
	case asked < 0:
		f := x.finding("handshake", "NOT_ASKED", i)
		f.Text = fmt.Sprintf("the arm goes to %s, but %s was not switched on before", c.name, ask)
		out.Findings = append(out.Findings, f)
		return
	case waited < 0:
		f := x.finding("handshake", "NOT_ASKED", i)
		f.Text = fmt.Sprintf("the arm goes to %s without waiting for %s", c.name, answer)
		out.Findings = append(out.Findings, f)
		return
	}
	if before := x.sceneBefore(asked); before.Signals[c.answer] {
		f := x.finding("handshake", "STALE_SIGNAL", asked)
		f.Text = fmt.Sprintf("%s is on already when %s is switched on, so it tells nothing", answer, ask)
		out.Findings = append(out.Findings, f)
	}
	c.standsClear(x, out, waited)
}

// standsClear judges where the arm stands during a wait.
func (c handshake) standsClear(x *Exam, out *Outcome, wait int) {
	if len(c.clearOf) == 0 {
		return
	}
	spans := x.spans(func(p *motion.Piece) bool { return p.Step == wait })
	if len(spans) == 0 { // the answer was there at once
		if before := x.lastMove(wait); before >= 0 {
			spans = x.endOf(before)
		}
	}
	near := x.clear("handshake", spans, c.need, "WAIT_INSIDE_MACHINE")
	out.Findings = append(out.Findings, near.Findings...)
	out.Measured, out.Unproved = near.Measured, out.Unproved || near.Unproved
}

// told judges that the machine is told after the visit at step i, and returns
// the step after that.
func (c handshake) told(x *Exam, out *Outcome, i int) int {
	ask := x.Cell.Signals[c.ask].Name
	for k := i + 1; k < len(x.Motion.Steps); k++ {
		if s := x.Motion.Steps[k].Source; s.Kind == program.Set {
			if on := setTo(s, ask); on != nil && !*on {
				c.outBefore(x, out, k)
				return k + 1
			}
		}
	}
	f := x.finding("handshake", "NOT_CONFIRMED", i)
	f.Text = fmt.Sprintf("%s stays on after the visit to %s: the machine is not told that the arm is done", ask, c.name)
	out.Findings = append(out.Findings, f)
	return len(x.Motion.Steps)
}

// outBefore judges that the arm is out of the machine when it is told so at a
// step.
func (c handshake) outBefore(x *Exam, out *Outcome, step int) {
	if before := x.lastMove(step); before >= 0 {
		c.clear(x, out, x.endOf(before), "TOLD_TOO_EARLY")
	}
}

// keepsAway judges that the arm stays out of the machine as long as it has not
// been let in.
func (c handshake) keepsAway(x *Exam, out *Outcome) {
	let := c.letIn(x)
	c.clear(x, out, x.spans(func(p *motion.Piece) bool { return !let[p.Step] }), "NOT_ASKED")
}

// letIn tells of each executed step whether the machine has answered before and
// has not been told since.
func (c handshake) letIn(x *Exam) []bool {
	ask, answer := x.Cell.Signals[c.ask].Name, x.Cell.Signals[c.answer].Name
	let := make([]bool, len(x.Motion.Steps))
	asked, answered := false, false
	for i := range x.Motion.Steps {
		let[i] = answered
		switch s := x.Motion.Steps[i].Source; s.Kind {
		case program.Set:
			if on := setTo(s, ask); on != nil {
				asked, answered = *on, *on && answered
			}
		case program.Wait:
			answered = answered || asked && s.Signals[0].Name == answer && s.Signals[0].On
		}
	}
	return let
}

// clear judges that the arm keeps away from the machine in some stretches.
func (c handshake) clear(x *Exam, out *Outcome, spans []sweep.Span, code string) {
	if len(c.clearOf) == 0 {
		return
	}
	near := x.clear("handshake", spans, c.need, code)
	for _, f := range near.Findings {
		f.Code = code // touching the machine then is as bad, and clearance tells of it
		doc, _ := Lookup(f.Code)
		f.Severity, f.Why, f.Try = doc.Severity, doc.Why, doc.Try
		out.Findings = append(out.Findings, f)
	}
	out.Unproved = out.Unproved || near.Unproved
}

// need is the distance that arm, tool and held part keep from the machine.
func (c handshake) need(a, b sweep.Body) float64 {
	if a.Kind <= sweep.Held && b.Kind == sweep.Solid && slices.Contains(c.clearOf, b.Index) {
		return c.away
	}
	return math.Inf(-1)
}

// sceneBefore returns the signals and parts when a step begins.
func (x *Exam) sceneBefore(step int) *motion.Scene {
	if step == 0 {
		return &x.Motion.Scenes[0]
	}
	return &x.Motion.Scenes[x.Motion.Steps[step-1].Scene]
}

var handshakeCodes = []CodeDoc{
	{
		Code: "NOT_ASKED", Title: "goes into a machine unasked", Check: "handshake", Severity: Fail,
		Meaning: "The arm goes into a machine without having asked it, or without having waited for its answer.",
		Why:     "The machine may be about to move, or the part may not be there; either of them meets the tool.",
		Try:     "switch the asking output on and wait, with a limit, for the answer before the approach",
		Unsafe:  "- {to: chute-grip, path: line, speed: 60 mm/s, end: stop}   # nobody asked for a bar",
		Safe:    "- {set: {ask-bar: on}}\n- {wait: {bar-ready: on, at-most: 5 s}}\n- {to: chute-over, path: joint, speed: 20 %, end: stop}",
	},
	{
		Code: "NOT_CONFIRMED", Title: "the machine is not told", Check: "handshake", Severity: Fail,
		Meaning: "After its work in a machine the program never takes its request back.",
		Why:     "The machine does not know that the arm is out and may never move again, or moves when nobody expects it.",
		Try:     "switch the asking output off once the arm is out",
		Unsafe:  "- {to: home, path: joint, speed: 20 %, end: stop}   # ask-bar is still on",
		Safe:    "- {to: chute-over, path: line, speed: 60 mm/s, end: stop}\n- {set: {ask-bar: off}}",
	},
	{
		Code: "STALE_SIGNAL", Title: "the answer is older than the question", Check: "handshake", Severity: Fail,
		Meaning: "The answer of the machine is on already when the program asks.",
		Why:     "A signal that was on before tells nothing of this part: it may be left over from the last one.",
		Try:     "take the request back after each visit and wait until the answer has gone off",
		Unsafe:  "- {set: {ask-bar: on}}   # asked a second time, bar-ready never went off",
		Safe:    "- {set: {ask-bar: off}}\n- {wait: {bar-ready: off, at-most: 2 s}}\n- {set: {ask-bar: on}}",
	},
	{
		Code: "WAIT_INSIDE_MACHINE", Title: "waits too near to a machine", Check: "handshake", Severity: Fail,
		Meaning: "While the program waits for the answer, arm, tool or held part is closer to the machine than the task allows.",
		Why:     "A waiting arm starts when its signal comes, and the machine may move meanwhile. People take both for switched off.",
		Try:     "wait at home or at another pose clear of the machine",
		Unsafe:  "- {to: chute-over, path: joint, speed: 20 %, end: stop}\n- {wait: {bar-ready: on, at-most: 5 s}}",
		Safe:    "- {to: home, path: joint, speed: 20 %, end: stop}\n- {wait: {bar-ready: on, at-most: 5 s}}",
	},
	{
		Code: "TOLD_TOO_EARLY", Title: "told before the arm is out", Check: "handshake", Severity: Fail,
		Meaning: "The program takes its request back while arm, tool or held part is still closer to the machine than the task allows.",
		Why:     "From then on the machine may move, and the arm is in its way.",
		Try:     "switch the asking output off after the way out",
		Unsafe:  "- {set: {ask-bar: off}}   # the cups still lie on the bar\n- {to: chute-over, path: line, speed: 60 mm/s, end: stop}",
		Safe:    "- {to: chute-high, path: line, speed: 60 mm/s, end: stop}\n- {set: {ask-bar: off}}",
	},
	{
		Code: "OUTPUT_UNKNOWN", Title: "an output is left as it was", Check: "handshake", Severity: Fail,
		Meaning: "The program moves the arm before it has set an output that it uses.",
		Why:     "The last program may have ended anywhere: suction may be on, a machine may be asked.",
		Try:     "set every output in the first steps",
		Unsafe:  "steps:\n  - {to: chute-over, path: joint, speed: 20 %, end: stop}",
		Safe:    "steps:\n  - {set: {vacuum: off, ask-bar: off}}\n  - {to: home, path: joint, speed: 20 %, end: stop}",
	},
}
