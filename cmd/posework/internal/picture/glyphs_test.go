package picture

import (
	"math/bits"
	"testing"
)

// drawn are the signs of the ASCII set as dots: rows of two, from the top. No
// letters, for those are names.
var drawn = []struct {
	sign byte
	rows [4]string
}{
	{' ', [4]string{"..", "..", "..", ".."}},
	{'\'', [4]string{"o.", "..", "..", ".."}}, {'\'', [4]string{".o", "..", "..", ".."}},
	{'\'', [4]string{"o.", "o.", "..", ".."}}, {'\'', [4]string{".o", ".o", "..", ".."}},
	{'\'', [4]string{"..", "o.", "..", ".."}}, {'\'', [4]string{"..", ".o", "..", ".."}},
	{'.', [4]string{"..", "..", "o.", ".."}}, {'.', [4]string{"..", "..", ".o", ".."}},
	{'.', [4]string{"..", "..", "..", "o."}}, {'.', [4]string{"..", "..", "..", ".o"}},
	{',', [4]string{"..", "..", "o.", "o."}}, {',', [4]string{"..", "..", ".o", ".o"}},
	{',', [4]string{"..", "..", ".o", "o."}},
	{'`', [4]string{"o.", ".o", "..", ".."}}, {'`', [4]string{"..", "o.", ".o", ".."}},
	{'"', [4]string{"oo", "..", "..", ".."}},
	{'-', [4]string{"..", "oo", "..", ".."}}, {'-', [4]string{"..", "..", "oo", ".."}},
	{'-', [4]string{"..", ".o", "o.", ".."}},
	{'_', [4]string{"..", "..", "..", "oo"}},
	{'=', [4]string{"oo", "..", "oo", ".."}}, {'=', [4]string{"..", "oo", "..", "oo"}}, {'=', [4]string{"oo", "..", "..", "oo"}},
	{':', [4]string{"o.", "..", "o.", ".."}}, {':', [4]string{"..", "o.", "..", "o."}},
	{':', [4]string{".o", "..", ".o", ".."}}, {':', [4]string{"..", ".o", "..", ".o"}},
	{':', [4]string{"o.", "..", ".o", ".."}}, {':', [4]string{"..", ".o", "..", "o."}},
	{':', [4]string{".o", "..", "o.", ".."}}, {':', [4]string{"..", "o.", "..", ".o"}},
	{'|', [4]string{"o.", "o.", "o.", "o."}}, {'|', [4]string{".o", ".o", ".o", ".o"}},
	{'|', [4]string{"o.", "o.", "o.", ".."}}, {'|', [4]string{".o", ".o", ".o", ".."}},
	{'|', [4]string{"..", "o.", "o.", "o."}}, {'|', [4]string{"..", ".o", ".o", ".o"}},
	{'/', [4]string{".o", ".o", "o.", "o."}}, {'/', [4]string{"..", ".o", "o.", "o."}}, {'/', [4]string{".o", ".o", "o.", ".."}},
	{'\\', [4]string{"o.", "o.", ".o", ".o"}}, {'\\', [4]string{"..", "o.", ".o", ".o"}}, {'\\', [4]string{"o.", "o.", ".o", ".."}},
	{'<', [4]string{".o", "o.", "o.", ".o"}}, {'>', [4]string{"o.", ".o", ".o", "o."}},
	{'[', [4]string{"oo", "o.", "o.", "oo"}}, {']', [4]string{"oo", ".o", ".o", "oo"}},
	{'^', [4]string{"oo", "o.", "..", ".."}}, {'^', [4]string{"oo", ".o", "..", ".."}},
	{'+', [4]string{"..", "oo", "o.", "o."}}, {'+', [4]string{"..", "oo", ".o", ".o"}},
	{'+', [4]string{"o.", "o.", "oo", ".."}}, {'+', [4]string{".o", ".o", "oo", ".."}},
	{'+', [4]string{"o.", ".o", "o.", ".o"}}, {'+', [4]string{".o", "o.", ".o", "o."}},
	{'*', [4]string{".o", "oo", "oo", "o."}}, {'*', [4]string{"o.", "oo", "oo", ".o"}},
	{'*', [4]string{"oo", ".o", "oo", "o."}}, {'*', [4]string{"o.", "oo", "o.", "oo"}},
	{'#', [4]string{"oo", "oo", "oo", "oo"}}, {'#', [4]string{"oo", "oo", "oo", "o."}}, {'#', [4]string{"oo", "oo", "oo", ".o"}},
	{'#', [4]string{"o.", "oo", "oo", "oo"}}, {'#', [4]string{".o", "oo", "oo", "oo"}},
}

// nearestSign is the sign whose dots differ least from a mask.
func nearestSign(mask uint8) byte {
	best, least := byte(' '), 9
	for _, d := range drawn {
		var m uint8
		for v, row := range d.rows {
			for u := range row {
				if row[u] == 'o' {
					m |= dotBit[v][u]
				}
			}
		}
		if n := bits.OnesCount8(m ^ mask); n < least && (m == 0) == (mask == 0) {
			best, least = d.sign, n
		}
	}
	return best
}

func TestASCIITable(t *testing.T) {
	var want [256]byte
	for m := range want {
		want[m] = nearestSign(uint8(m))
	}
	if string(want[:]) != asciiOf {
		t.Errorf("asciiOf = %q, want %q", asciiOf, want)
	}
}

// Unicode 16, block Braille Patterns: dots 1, 2, 3 and 7 down the left, 4, 5, 6
// and 8 down the right; the code point adds 2^(dot-1).
func TestBrailleOrder(t *testing.T) {
	names := [dotsY][dotsX]int{{1, 4}, {2, 5}, {3, 6}, {7, 8}}
	for row := range names {
		for col, dot := range names[row] {
			if got, want := dotBit[row][col], uint8(1)<<(dot-1); got != want {
				t.Errorf("dot %d: bit %#x, want %#x", dot, got, want)
			}
		}
	}
	if got := glyph(0x47, Braille); got != '⡇' {
		t.Errorf("left column = %c, want ⡇", got)
	}
}
