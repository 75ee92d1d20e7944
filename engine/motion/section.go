package motion

// section is a part of a path as a path of its own.
type section struct {
	path   Path
	s0, s1 float64
}

// part returns the part of p from s0 to s1.
func part(p Path, s0, s1 float64) Path {
	if s0 == 0 && s1 == p.Length() {
		return p
	}
	if c, ok := p.(*section); ok {
		return &section{c.path, c.s0 + s0, min(c.s0+s1, c.s1)}
	}
	return &section{p, s0, s1}
}

func (c *section) Length() float64 { return c.s1 - c.s0 }

func (c *section) At(s float64, e *Eval) { c.path.At(max(c.s0, min(c.s0+s, c.s1)), e) }

func (c *section) Bound(s0, s1 float64, b *Bound) bool {
	return c.path.Bound(max(c.s0, c.s0+s0), min(c.s0+s1, c.s1), b)
}
