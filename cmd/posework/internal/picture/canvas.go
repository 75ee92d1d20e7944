package picture

// Dots of one character.
const (
	dotsX = 2
	dotsY = 4
)

// Canvas is a picture and the buffers to draw it. The zero value is ready to
// use.
type Canvas struct {
	size    Size
	w, h    int // dots
	pixels  []pixel
	spans   []span
	strokes []stroke
	lit     []dots
	cells   []Cell
	group   uint16
	lens    lens
	glyphs  Glyphs
}

// pixel is what is seen at one dot: the nearest surface. The zero value is none.
type pixel struct {
	z     float32 // towards the viewer, dots, above the deepest that can be drawn
	key   uint16  // which body and which of its faces, see key; 0: nothing
	shade uint8   // brightness, 0 to 255
	ink   Ink
}

// deepest is the depth behind the middle of the picture, in dots, at which
// surfaces vanish. With it added, depths are positive, and 24 bits of a float
// still tell a hundredth of a dot.
const deepest = 1 << 17

// faces is how many flat faces of a body are told apart, the curved surface
// included.
const faces = 4

// key numbers a face of a body; bodies count from 1.
func key(group uint16, face int) uint16 { return group*faces + uint16(face) }

// span is the range of columns, in a row of dots, that bodies were drawn in.
type span struct{ from, to int }

// stroke is a dot of a line.
type stroke struct {
	x, y int16
	ink  Ink
}

// dots says why the dots of one character are lit, a bit each (dotBit).
type dots struct {
	shade   uint8 // by the dither of a surface
	outline uint8 // as the edge of a body
	stroke  uint8 // by a line
	dark    uint8 // kept free of shading: behind the edge of a nearer body, or beside a line
}

// Cell is one character of a picture.
type Cell struct {
	Rune rune
	Ink  Ink
	Text bool // part of a name, not of the drawing
}

// Draw draws a scene. The result stays until the next call.
func (c *Canvas) Draw(s *Scene, cam *Camera, size Size, glyphs Glyphs) {
	c.reset(size, glyphs)
	if size.Width < 1 || size.Height < 1 {
		return
	}
	c.lens = cam.lens(size)
	c.bodies(s)
	c.floor(s)
	c.zones(s)
	c.lines(s)
	c.frames(s)
	c.outline()
	c.compose()
	c.labels(s)
}

// reset clears the canvas for a picture of a size.
func (c *Canvas) reset(size Size, glyphs Glyphs) {
	size.Width, size.Height = max(size.Width, 0), max(size.Height, 0)
	c.size, c.glyphs, c.group = size, glyphs, 0
	c.w, c.h = size.Width*dotsX, size.Height*dotsY
	c.pixels = cleared(c.pixels, c.w*c.h)
	c.lit = cleared(c.lit, size.Width*size.Height)
	c.cells = cleared(c.cells, size.Width*size.Height)
	c.spans = cleared(c.spans, c.h)
	for i := range c.spans {
		c.spans[i].from = c.w
	}
	c.strokes = c.strokes[:0]
}

// cleared returns n zero values, in the memory of s where they fit.
func cleared[T any](s []T, n int) []T {
	if cap(s) < n {
		return make([]T, n)
	}
	s = s[:n]
	clear(s)
	return s
}

// Size returns the size of the picture.
func (c *Canvas) Size() Size { return c.size }

// Row returns a row of the picture. It is the canvas's own: the next picture
// overwrites it.
func (c *Canvas) Row(i int) []Cell { return c.cells[i*c.size.Width : (i+1)*c.size.Width] }
