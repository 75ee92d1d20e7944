package motion

import "posework/engine/cell"

// flush lays out the moves of the block, from stop to stop, and the steps that
// are taken in passing.
func (pl *planner) flush() {
	legs := pl.block
	pl.block = nil
	if pl.work.spent() {
		return
	}
	var run []stretch
	scale := 1.0
	for n := range legs {
		l := &legs[n]
		st := l.stretch
		st.scale = scale
		var c stretch
		var da, db float64
		rounded := false
		if l.flyBy > 0 && n+1 < len(legs) {
			c, da, db, rounded = pl.corner(l, &legs[n+1])
		}
		if !rounded {
			run = append(run, st)
			if pl.lay(run, legs); pl.work.spent() {
				return
			}
			run, scale = run[:0], 1
			continue
		}
		st.s1 -= da
		// The corner's parameter moves 2 da / length slower than the arriving
		// leg's at its start, and 2 db / length slower than the leaving one's at
		// its end.
		o := c.path.Length()
		c.scale = scale * o / (2 * da)
		scale = c.scale * 2 * db / o
		run = append(run, st, c)
		legs[n+1].s0 = db
	}
}

// stand is the arm where the last piece left it.
func (pl *planner) stand() *Eval {
	var e Eval
	(&fixed{pl.stage.lev, pl.stage.q}).At(0, &e)
	return &e
}

// lay puts stretches under one time law and appends their pieces. legs holds
// the steps to take in passing.
func (pl *planner) lay(stretches []stretch, legs []leg) {
	g := newGrid(pl.m, &pl.work)
	for n := range stretches {
		g.add(n, &stretches[n])
	}
	if m := pl.tr.Cell.Motion; m.Law == cell.Smooth {
		pl.work.spend(len(g.spans) * smoothRounds)
	}
	if pl.work.spent() {
		return
	}
	laws := make([]Law, len(stretches))
	if len(g.spans) > 0 {
		p := newProfile(g.spans, g.wins)
		if m := pl.tr.Cell.Motion; m.Law == cell.Smooth && m.RampTime > 0 {
			laws = p.smooth(g, stretches, m.RampTime)
		} else {
			laws = p.laws(g, stretches)
		}
	}
	for n := range stretches {
		st := &stretches[n]
		if n == 0 || stretches[n-1].step != st.step {
			pl.open(st.step)
		}
		if len(laws[n].Phases) > 0 {
			pl.stage.run(Piece{
				Step: st.step, Kind: st.kind, Tool: pl.tool,
				Path: part(st.path, st.s0, st.s1), Law: laws[n].from(st.s0), Programmed: st.mms,
			})
		}
		if st.kind == Corner || n+1 == len(stretches) || stretches[n+1].step != st.step {
			pl.close(st.step)
			pl.passing(st.step, legs)
		}
	}
}

// passing takes the steps that come due at the end of a step.
func (pl *planner) passing(step int, legs []leg) {
	for n := range legs {
		if legs[n].step != step {
			continue
		}
		for _, i := range legs[n].passed {
			pl.open(i)
			pl.set(i, pl.stand())
			pl.close(i)
		}
	}
}
