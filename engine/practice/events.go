package practice

import (
	"slices"

	"posework/engine/cell"
	"posework/engine/motion"
	"posework/kin"
)

// eventState is how far an event of the cell is. The rules are those of package
// motion, which plays the cell for a program: an event comes true when its
// signals are as it says and the tool is near its part; it takes effect later,
// unless a signal has changed by then or the tool has left.
type eventState uint8

const (
	idle eventState = iota
	waiting
	delayed
	spent
)

// events are the events of a cell while the arm is moved by hand.
type events struct {
	state []eventState
	in    []float64 // s until a delayed one takes effect
}

func newEvents(c *cell.Cell) events {
	return events{make([]eventState, len(c.Events)), make([]float64, len(c.Events))}
}

// due reports whether an effect is on its way.
func (e *events) due() bool { return slices.Contains(e.state, delayed) }

// pass lets a tick pass and reports whether the scene has changed.
func (e *events) pass(c *cell.Cell, s *motion.Scene, flange *kin.Pose, tip kin.Vec) bool {
	for i := range e.state {
		if e.state[i] == delayed {
			e.in[i] -= tick
		}
	}
	return e.settle(c, s, flange, tip)
}

// maxEffects bounds the effects at one moment, so that events that undo each
// other without delay come to an end.
const maxEffects = 100

// settle brings the events up to date and takes the effects that are due.
func (e *events) settle(c *cell.Cell, s *motion.Scene, flange *kin.Pose, tip kin.Vec) (changed bool) {
	for range maxEffects {
		for i := range e.state {
			e.check(c, s, i, flange, tip)
		}
		first := -1
		for i := range e.state {
			if e.state[i] == delayed && e.in[i] <= 1e-9 && (first < 0 || e.in[i] < e.in[first]) {
				first = i
			}
		}
		if first < 0 {
			break
		}
		ev := &c.Events[first]
		e.state[first] = spent
		if ev.Near >= 0 && !s.Near(c, ev.Near, flange, tip) {
			e.state[first] = waiting
			continue
		}
		s.Take(ev, flange)
		changed = true
	}
	return changed
}

func (e *events) check(c *cell.Cell, s *motion.Scene, i int, flange *kin.Pose, tip kin.Vec) {
	ev := &c.Events[i]
	for _, w := range ev.When {
		if s.Signals[w.Signal] != w.On {
			e.state[i] = idle
			return
		}
	}
	if e.state[i] > waiting {
		return
	}
	e.state[i] = waiting
	if ev.Near < 0 || s.Near(c, ev.Near, flange, tip) {
		e.state[i], e.in[i] = delayed, ev.After
	}
}
