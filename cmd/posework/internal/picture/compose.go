package picture

// step is the jump in depth, in dots, that counts as an edge within one body.
const step = 6

// dither is the order in which the dots of a 4 x 4 tile come on as a surface
// gets brighter (B. Bayer, 1973), as thresholds of the brightness.
var dither = [4][4]uint8{
	{8, 136, 40, 168},
	{200, 72, 232, 104},
	{56, 184, 24, 152},
	{248, 120, 216, 88},
}

// outline lights the edges of bodies and the shading of their surfaces. An edge
// is where two neighbouring dots show different bodies, different faces or a
// jump in depth: the nearer dot is lit, and the farther one kept dark, so that
// crossing bodies read as one in front of the other (haloed lines, A. Appel,
// F. Rohlf and A. Stein, 1979).
func (c *Canvas) outline() {
	for y := range c.h {
		s := c.spans[y]
		if y+1 < c.h {
			s.from, s.to = min(s.from, c.spans[y+1].from), max(s.to, c.spans[y+1].to)
		}
		if s.from >= s.to {
			continue
		}
		s.from = max(s.from-1, 0)
		line := c.pixels[y*c.w : (y+1)*c.w]
		var below []pixel // none under the last row
		if y+1 < c.h {
			below = c.pixels[(y+1)*c.w : (y+2)*c.w]
		}
		thresholds := &dither[y&3]
		for x := s.from; x < s.to; x++ {
			p := &line[x]
			if x+1 < c.w && apart(p, &line[x+1]) {
				c.edge(x, y, x+1, y, p, &line[x+1])
			}
			if x < len(below) && apart(p, &below[x]) {
				c.edge(x, y, x, y+1, p, &below[x])
			}
			if p.shade >= thresholds[x&3] && p.key != 0 {
				c.at(x, y).shade |= bit(x, y)
			}
		}
	}
}

// apart reports whether an edge lies between two neighbouring dots.
func apart(p, q *pixel) bool {
	d := p.z - q.z
	return p.key != q.key || d >= step || d <= -step
}

// edge lights the nearer of two dots.
func (c *Canvas) edge(x, y, u, v int, p, q *pixel) {
	if p.z < q.z {
		x, y, u, v = u, v, x, y
	}
	c.at(x, y).outline |= bit(x, y)
	if p.key/faces != q.key/faces {
		c.at(u, v).dark |= bit(u, v)
	}
}

// at is the character that a dot belongs to, and bit the dot's place in it.
func (c *Canvas) at(x, y int) *dots { return &c.lit[y/dotsY*c.size.Width+x/dotsX] }
func bit(x, y int) uint8            { return dotBit[y%dotsY][x%dotsX] }

// compose gathers the dots of each character.
func (c *Canvas) compose() {
	for _, s := range c.strokes {
		x, y := int(s.x), int(s.y)
		c.at(x, y).stroke |= bit(x, y)
		if s.ink > Ground {
			c.clearAround(x, y)
		}
		if p := &c.pixels[y*c.w+x]; p.key == 0 || s.ink > p.ink {
			p.ink = s.ink
		}
	}
	for i := range c.lit {
		d := &c.lit[i]
		mask := d.outline | d.stroke | d.shade&^d.dark
		if mask == 0 {
			c.cells[i].Rune = ' '
			continue
		}
		c.cells[i] = Cell{Rune: glyph(mask, c.glyphs), Ink: c.strongest(i, mask)}
	}
}

// clearAround takes the shading away beside a line.
func (c *Canvas) clearAround(x, y int) {
	for v := max(y-1, 0); v <= min(y+1, c.h-1); v++ {
		for u := max(x-1, 0); u <= min(x+1, c.w-1); u++ {
			c.at(u, v).dark |= bit(u, v)
		}
	}
}

// strongest is the ink of a character: the last of those of its dots.
func (c *Canvas) strongest(cell int, mask uint8) Ink {
	var ink Ink
	first := cell/c.size.Width*dotsY*c.w + cell%c.size.Width*dotsX
	for v := range dotsY {
		for u := range dotsX {
			if mask&dotBit[v][u] != 0 {
				ink = max(ink, c.pixels[first+v*c.w+u].ink)
			}
		}
	}
	return ink
}
