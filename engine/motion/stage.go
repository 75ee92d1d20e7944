package motion

import (
	"slices"

	"posework/engine/cell"
	"posework/kin"
)

// stage plays the cell while the trajectory is laid out: signals, what the cell
// does in answer to them, and the parts. It appends pieces to the trajectory
// and cuts them where the scene changes.
//
// An event comes true when its signals are as it says and, if it names a part,
// the tool centre point is within cell.NearMM of that part's surface. It takes
// effect After seconds later, unless a signal has changed by then or the tool
// has left the part, and can come true again once a signal of its condition has
// changed. A part can be held only while no other is.
type stage struct {
	tr      *Trajectory
	c       *cell.Cell
	lev     *levers // of the tool in use
	now     float64
	q       kin.Joints // where the arm stands between pieces
	events  []eventState
	pending []due
	changes int // since the clock last moved
	work    *effort
	at      Eval // see eval
}

type eventState uint8

const (
	idle    eventState = iota // a signal is not as the event says
	waiting                   // signals are, the tool is not near
	delayed                   // in the list of pending
	spent
)

type due struct {
	at    float64
	event int
}

const (
	// nearStep is the time to which coming near a part is resolved, s.
	nearStep = 1e-4
	// maxChanges bounds the changes at one moment, so that events that undo
	// each other without delay come to an end.
	maxChanges = 1000
)

func newStage(tr *Trajectory, c *cell.Cell, w *effort) *stage {
	tr.Scenes = append(tr.Scenes, FirstScene(c))
	return &stage{tr: tr, c: c, events: make([]eventState, len(c.Events)), work: w}
}

func (g *stage) scene() *Scene { return &g.tr.Scenes[len(g.tr.Scenes)-1] }

// change starts a new scene that differs from the last.
func (g *stage) change() *Scene {
	g.tr.Scenes = append(g.tr.Scenes, g.scene().Clone())
	return g.scene()
}

// keep drops the newest scene if it is no different from the one before.
func (g *stage) keep() {
	k := len(g.tr.Scenes) - 1
	if g.tr.Scenes[k-1].Equal(&g.tr.Scenes[k]) {
		g.tr.Scenes = g.tr.Scenes[:k]
	}
}

// set sets signals and sees what the cell makes of it.
func (g *stage) set(states []cell.SignalState, e *Eval) {
	n := g.change()
	for _, s := range states {
		n.Signals[s.Signal] = s.On
	}
	g.keep()
	g.settle(e)
}

// settle brings the events up to date with the signals and with the arm at e,
// and takes the effects that are due now.
func (g *stage) settle(e *Eval) {
	for {
		for i := range g.events {
			g.check(i, e)
		}
		k := g.next()
		if k < 0 || g.pending[k].at > g.now {
			return
		}
		if g.changes >= maxChanges { // events that answer each other without end
			g.pending = slices.DeleteFunc(g.pending, func(d due) bool { return d.at <= g.now })
			return
		}
		ev := g.pending[k].event
		g.pending = slices.Delete(g.pending, k, k+1)
		g.events[ev] = spent
		if near := g.c.Events[ev].Near; near >= 0 && !g.near(near, e) {
			g.events[ev] = waiting
			continue
		}
		g.changes++
		g.effect(&g.c.Events[ev], e)
	}
}

// check moves an event between its states.
func (g *stage) check(i int, e *Eval) {
	ev := &g.c.Events[i]
	holds := true
	for _, s := range ev.When {
		holds = holds && g.scene().Signals[s.Signal] == s.On
	}
	switch {
	case !holds:
		if g.events[i] == delayed {
			g.pending = slices.DeleteFunc(g.pending, func(d due) bool { return d.event == i })
		}
		g.events[i] = idle
	case g.events[i] == idle || g.events[i] == waiting:
		g.events[i] = waiting
		if ev.Near < 0 || g.near(ev.Near, e) {
			g.events[i] = delayed
			g.pending = append(g.pending, due{g.now + ev.After, i})
		}
	}
}

// next returns the index of the pending effect that comes first, -1 when there
// is none.
func (g *stage) next() int {
	best := -1
	for i := range g.pending {
		if best < 0 || g.pending[i].at < g.pending[best].at {
			best = i
		}
	}
	return best
}

func (g *stage) effect(ev *cell.Event, e *Eval) {
	g.work.spend(sceneEffort)
	g.change().Take(ev, &e.Frames[6])
	g.keep()
}

// gap returns the distance from the tool centre point to a part's surface, less
// cell.NearMM.
func (g *stage) gap(part int, e *Eval) float64 {
	return g.scene().Gap(g.c, part, &e.Frames[6], e.TCP.T) - cell.NearMM
}

func (g *stage) near(part int, e *Eval) bool {
	return g.scene().Near(g.c, part, &e.Frames[6], e.TCP.T)
}

// run lays a piece out from now on, cut where the scene changes.
func (g *stage) run(p Piece) {
	p.Start, p.End = g.now, g.now+p.Law.Length
	for {
		t, ok := g.upcoming(&p)
		if !ok || !g.work.spend(sceneEffort) {
			break
		}
		g.now = t
		before := len(g.tr.Scenes)
		g.settle(g.eval(&p, t))
		if len(g.tr.Scenes) > before && t > p.Start {
			head, tail := p.cut(t)
			g.put(head, before-1)
			p = tail
		}
		if len(g.tr.Scenes) == before && t >= p.End {
			break
		}
	}
	if p.End > p.Start {
		g.put(p, len(g.tr.Scenes)-1)
	}
	g.now = p.End
	g.q = g.eval(&p, p.End).Q
}

// cut parts a piece at time t.
func (p *Piece) cut(t float64) (head, tail Piece) {
	head, tail = *p, *p
	d := t - p.Start
	head.End, head.Law = t, p.Law.cut(0, d)
	tail.Start, tail.Law = t, p.Law.cut(d, p.Law.Length)
	if p.Kind == Rest {
		return head, tail
	}
	s, _, _ := p.Law.At(d)
	s = max(0, min(s, p.Path.Length()))
	head.Path, tail.Path = part(p.Path, 0, s), part(p.Path, s, p.Path.Length())
	tail.Law = tail.Law.from(s)
	return head, tail
}

func (g *stage) put(p Piece, scene int) {
	p.Scene = scene
	g.changes = 0
	g.tr.Pieces = append(g.tr.Pieces, p)
}

// eval returns the arm at a time of a piece, until it is called again.
func (g *stage) eval(p *Piece, t float64) *Eval {
	s, _, _ := p.Law.At(t - p.Start)
	p.Path.At(s, &g.at)
	return &g.at
}

// upcoming returns the next moment within the piece at which an effect is due
// or the tool comes near a part that an event waits for.
func (g *stage) upcoming(p *Piece) (float64, bool) {
	until, found := p.End, false
	if k := g.next(); k >= 0 && g.pending[k].at <= until {
		until, found = max(g.pending[k].at, p.Start), true
	}
	for i := range g.events {
		if g.events[i] != waiting || g.c.Events[i].Near < 0 || p.Kind == Rest {
			continue
		}
		if t, ok := g.approach(p, g.c.Events[i].Near, max(p.Start, g.now), until); ok {
			until, found = t, true
		}
	}
	return until, found
}

// approach returns the first moment in [t, until] at which the tool is near a
// part, by conservative advancement: the gap can't close faster than the tool
// moves.
func (g *stage) approach(p *Piece, part int, t, until float64) (float64, bool) {
	var b Bound
	v := p.Law.fastest(t-p.Start, until-p.Start)
	s0, _, _ := p.Law.At(t - p.Start)
	s1, _, _ := p.Law.At(until - p.Start)
	if p.Path.Bound(s0, s1, &b) {
		v *= b.V
	} else {
		v = 0 // unknown: fall back on small steps
	}
	for {
		gap := g.gap(part, g.eval(p, t))
		if gap <= 1e-9 {
			return t, true
		}
		if t >= until || !g.work.spend(1) {
			return 0, false
		}
		step := float64(nearStep)
		if v > 0 {
			step = max(step, gap/v)
		}
		t = min(t+step, until)
	}
}
