package picture

// dotBit is the bit of the dot in a row and column of a character, in the order
// of the Unicode block Braille Patterns: down the left column, down the right
// one, then the two dots of the fourth row.
var dotBit = [dotsY][dotsX]uint8{{0x01, 0x08}, {0x02, 0x10}, {0x04, 0x20}, {0x40, 0x80}}

// glyph returns the character for a mask of dots.
func glyph(mask uint8, set Glyphs) rune {
	if set == ASCII {
		return rune(asciiOf[mask])
	}
	return 0x2800 + rune(mask)
}
