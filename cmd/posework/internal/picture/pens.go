package picture

import (
	"slices"
	"unicode/utf8"
)

// Pens holds what is written to the terminal before a run of characters of each
// ink, and after it. The zero value writes no colours.
type Pens struct {
	On  [Inks]string
	Off string
}

// AppendRow appends row i of the picture as text, the colour of each run of
// characters before it. It is as wide as the picture.
func (c *Canvas) AppendRow(dst []byte, i int, pens *Pens) []byte {
	row := c.Row(i)
	dst = slices.Grow(dst, 3*len(row))
	pen := None
	for _, cell := range row {
		// A blank needs no colour, so that it doesn't end a run.
		if cell.Rune != ' ' && cell.Ink != pen {
			if pen != None {
				dst = append(dst, pens.Off...)
			}
			pen = cell.Ink
			dst = append(dst, pens.On[pen]...)
		}
		dst = utf8.AppendRune(dst, cell.Rune)
	}
	if pen != None {
		dst = append(dst, pens.Off...)
	}
	return dst
}

// String returns the whole picture without colours, a line a row.
func (c *Canvas) String() string {
	var b []byte
	for i := range c.size.Height {
		if i > 0 {
			b = append(b, '\n')
		}
		b = c.AppendRow(b, i, &Pens{})
	}
	return string(b)
}
