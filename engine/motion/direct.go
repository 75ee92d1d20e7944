package motion

// evaluate is p.At(s, e). It tells the kinds of path of this package apart, so
// that the compiler sees that none of them keeps e, which can then lie on the
// caller's stack: the planner evaluates a hundred thousand times a program.
func evaluate(p Path, s float64, e *Eval) {
	switch p := p.(type) {
	case *axial:
		p.At(s, e)
	case *cartesian:
		p.At(s, e)
	case *blend:
		p.At(s, e)
	default:
		other := new(Eval)
		p.At(s, other)
		*e = *other
	}
}

// enclosing is p.Bound(s0, s1, b), in the same way.
func enclosing(p Path, s0, s1 float64, b *Bound) bool {
	switch p := p.(type) {
	case *axial:
		return p.Bound(s0, s1, b)
	case *cartesian:
		return p.Bound(s0, s1, b)
	case *blend:
		return p.Bound(s0, s1, b)
	}
	other := new(Bound)
	ok := p.Bound(s0, s1, other)
	*b = *other
	return ok
}
