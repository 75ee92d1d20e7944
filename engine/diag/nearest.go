package diag

import "strings"

// maxWords is how many words Nearest looks at, and maxErrors how many differences
// it forgives at most. They bound its work, whatever a stranger's file holds.
const (
	maxWords  = 1000
	maxErrors = 3
)

// Nearest returns the word that a person most likely meant by got, or "" when
// none is near: differences of case, hyphen and underscore are free, and at
// most one character in three (three in all, and never the whole word) may be
// wrong, missing, extra or swapped with its neighbour. Of equally near words the
// first wins. Only the first 1,000 words are looked at.
func Nearest(got string, words []string) string {
	g := fold(got)
	if len(g) == 0 || len(g) > 64 {
		return ""
	}
	best, most := "", min(len(g)/3+1, maxErrors)
	for _, w := range words[:min(len(words), maxWords)] {
		f := fold(w)
		if len(f) > len(g)+most || len(g) > len(f)+most {
			continue
		}
		d := distance(g, f, most)
		if d <= most && d < len(f) && d < len(g) {
			best, most = w, d-1
		}
		if most < 0 {
			break
		}
	}
	return best
}

// fold drops what people mix up without meaning another word.
func fold(s string) []rune {
	return []rune(strings.ToLower(strings.ReplaceAll(s, "_", "-")))
}

// distance is the optimal string alignment distance: the least number of
// insertions, deletions, substitutions and swaps of neighbours, none of them
// applied twice to one place. Above most it is only known to be above most: cells
// of the table that lie farther than that from its diagonal are left out.
func distance(a, b []rune, most int) int {
	far := most + 1
	before := make([]int, len(b)+1)
	last := make([]int, len(b)+1)
	row := make([]int, len(b)+1)
	for j := range last {
		last[j] = j
	}
	for i := 1; i <= len(a); i++ {
		for j := range row {
			row[j] = far
		}
		row[0] = i
		for j := max(1, i-most); j <= min(len(b), i+most); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			row[j] = min(row[j-1]+1, last[j]+1, last[j-1]+cost)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
		before, last, row = last, row, before
	}
	return last[len(b)]
}
