package motion

// flush lays out the moves of the block, from stop to stop, and the steps that
// are taken in passing.
func (pl *planner) flush() {
	legs := pl.block
	pl.block = nil
	for n := range legs {
		l := &legs[n]
		pl.open(l.step)
		st := l.stretch
		st.scale = 1
		pl.lay([]stretch{st})
		pl.close(l.step)
		for _, i := range l.passed {
			pl.open(i)
			pl.set(i, pl.stand())
			pl.close(i)
		}
	}
}

// stand is the arm where the last piece left it.
func (pl *planner) stand() *Eval {
	var e Eval
	(&fixed{pl.stage.lev, pl.stage.q}).At(0, &e)
	return &e
}

// lay puts stretches under one time law and appends their pieces.
func (pl *planner) lay(stretches []stretch) {
	g := newGrid(pl.m)
	for n := range stretches {
		g.add(n, &stretches[n])
	}
	if len(g.spans) == 0 {
		return
	}
	p := newProfile(g.spans, g.wins)
	runs := p.laws(g, stretches)
	for n := range stretches {
		st := &stretches[n]
		if len(runs[n].law.Phases) == 0 {
			continue
		}
		pl.stage.run(Piece{
			Step: st.step, Kind: st.kind, Tool: pl.tool,
			Path: st.path, Law: runs[n].law, Programmed: st.mms,
		})
	}
}
