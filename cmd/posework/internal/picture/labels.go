package picture

import (
	"unicode/utf8"

	"posework/kin"
)

// labels writes the names, those first that matter most: a later one that would
// touch an earlier one is left out.
func (c *Canvas) labels(s *Scene) {
	if g := s.Gap; g != nil {
		c.write(g.A.Add(g.B).Scale(0.5), g.Text, Alarm)
	}
	for i := range s.Frames {
		f := &s.Frames[i]
		if f.Name != "" {
			c.write(f.Pose.T, f.Name, Label)
		}
		c.letter(f, f.Pose.R.X, "x", AxisX)
		c.letter(f, f.Pose.R.Y, "y", AxisY)
		c.letter(f, f.Pose.R.Z, "z", AxisZ)
	}
	for i := range s.Labels {
		t := &s.Labels[i]
		c.write(t.At, t.Text, t.Ink)
	}
	for i := range s.Zones {
		z := &s.Zones[i]
		c.write(z.Shape.P, z.Name, z.Ink)
	}
	for i := range s.Bodies {
		if b := &s.Bodies[i]; b.Named && b.Name != "" {
			c.write(b.Shape.P, b.Name, Label)
		}
	}
}

// letter writes the name of an axis past its end.
func (c *Canvas) letter(f *Frame, axis kin.Vec, name string, ink Ink) {
	at := c.lens.see(f.Pose.T.AddScaled(1.25*f.Size, axis))
	if o := c.lens.see(f.Pose.T); at.Sub(o).X*at.Sub(o).X+at.Sub(o).Y*at.Sub(o).Y < dotsY*dotsY {
		return // it points at the viewer
	}
	c.put(floor(at.X/dotsX), floor(at.Y/dotsY), name, ink, 0)
}

// write puts a text beside a point of the world.
func (c *Canvas) write(at kin.Vec, text string, ink Ink) {
	p := c.lens.see(at)
	c.put(floor(p.X/dotsX)+1, floor(p.Y/dotsY), text, ink, 1)
}

// put writes a text into row y from column x, if it fits and touches no other
// text, gap included.
func (c *Canvas) put(x, y int, text string, ink Ink, gap int) {
	n := utf8.RuneCountInString(text)
	if n == 0 || y < 0 || y >= c.size.Height || x < 0 || x+n > c.size.Width {
		return
	}
	row := c.Row(y)
	for _, cell := range row[max(x-gap, 0):min(x+n+gap, len(row))] {
		if cell.Text {
			return
		}
	}
	for _, r := range text {
		row[x] = Cell{Rune: r, Ink: ink, Text: true}
		x++
	}
}
