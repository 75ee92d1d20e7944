package motion

import "posework/kin"

// fixed is the path of an arm that stands still.
type fixed struct {
	lev *levers
	q   kin.Joints
}

func (p *fixed) Length() float64 { return 0 }

func (p *fixed) At(_ float64, e *Eval) {
	st := state{q: p.q}
	p.lev.place(&st)
	*e = Eval{Q: st.q, Frames: st.f, TCP: st.tcp}
}

func (p *fixed) Bound(_, _ float64, b *Bound) bool {
	*b = Bound{}
	return true
}
