package diag

import "strings"

// Nearest returns the word that a person most likely meant by got, or "" when
// none is near: differences of case, hyphen and underscore are free, and at
// most one character in three (but never the whole word) may be wrong, missing,
// extra or swapped with its neighbour. Of equally near words the first wins.
func Nearest(got string, words []string) string {
	g := fold(got)
	if len(g) == 0 || len(g) > 64 {
		return ""
	}
	best, least := "", len(g)/3+1
	if least > 3 {
		least = 3
	}
	least++ // exclusive
	for _, w := range words {
		f := fold(w)
		d := distance(g, f)
		if d < least && d < len(f) && d < len(g) {
			best, least = w, d
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
// applied twice to one place.
func distance(a, b []rune) int {
	before := make([]int, len(b)+1)
	last := make([]int, len(b)+1)
	row := make([]int, len(b)+1)
	for j := range last {
		last[j] = j
	}
	for i := 1; i <= len(a); i++ {
		row[0] = i
		for j := 1; j <= len(b); j++ {
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
