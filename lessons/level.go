package lessons

import "strings"

// MostGrade is the highest reading grade that a lesson's text may have: that of
// a person after eight years of school, so that a tired reader and one with
// another mother tongue can follow. The threshold is this course's choice.
const MostGrade = 8.0

// Grade returns the Flesch-Kincaid grade level of a plain text: about the years
// of school that it takes to read it with ease. It is 0 for a text without
// words.
//
// Source: J. P. Kincaid, R. P. Fishburne, R. L. Rogers and B. S. Chissom,
// Derivation of New Readability Formulas for Navy Enlisted Personnel, Research
// Branch Report 8-75, Naval Technical Training Command, 1975.
func Grade(text string) float64 {
	words, sentences, syllables := 0, 0, 0
	open := false // words since the last end of a sentence
	for _, w := range strings.Fields(text) {
		if bare := strings.Trim(w, "\"'()[]*_,;:.!?…-"); hasLetter(bare) {
			words++
			open = true
			for part := range strings.SplitSeq(bare, "-") {
				syllables += syllableCount(part)
			}
		}
		if end := strings.TrimRight(w, "\"')]*_"); open && strings.ContainsAny(end[max(0, len(end)-1):], ".!?:") {
			sentences++
			open = false
		}
	}
	if words == 0 {
		return 0
	}
	if open {
		sentences++
	}
	return gradeLevel(float64(words)/float64(sentences), float64(syllables)/float64(words))
}

// gradeLevel is the formula itself, of words a sentence and syllables a word.
func gradeLevel(words, syllables float64) float64 { return 0.39*words + 11.8*syllables - 15.59 }

func hasLetter(w string) bool {
	return strings.ContainsFunc(w, func(r rune) bool { return r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' })
}

// syllableCount estimates the syllables of an English word: its groups of
// vowels, without a silent e at the end. It is right for about nine words in
// ten, and errs both ways.
func syllableCount(word string) int {
	w := strings.ToLower(word)
	if !hasLetter(w) {
		return 0
	}
	n := 0
	vowel := false
	for i, r := range w {
		v := strings.ContainsRune("aeiouy", r)
		// y between a vowel and a vowel parts them: employer, layout.
		if r == 'y' && vowel && i+1 < len(w) && strings.ContainsRune("aeiou", rune(w[i+1])) {
			v = false
		}
		if v && (!vowel || spokenApart(w, i)) {
			n++
		}
		vowel = v
	}
	if silentEnd(w) && n > 1 {
		n--
	}
	return max(n, 1)
}

// spokenApart reports whether the vowel at i begins a syllable although a vowel
// stands before it: media, medium, manual; not special, region, quality.
func spokenApart(w string, i int) bool {
	switch w[i-1 : i+1] {
	case "ia", "iu", "io", "eo", "ua", "uo":
		return i < 2 || !strings.ContainsRune("cgqstx", rune(w[i-2]))
	case "ea":
		return i == len(w)-1 && strings.ContainsAny(w[:i-1], "aeiou") // area, but not sea
	}
	return false
}

// silentEnd reports whether the last e of a word is not spoken: move, moves,
// moved; but table, faces and wanted keep theirs.
func silentEnd(w string) bool {
	has := func(ends ...string) bool {
		for _, e := range ends {
			if strings.HasSuffix(w, e) {
				return true
			}
		}
		return false
	}
	switch {
	case has("le"):
		return len(w) < 3 || strings.ContainsRune("aeiouy", rune(w[len(w)-3]))
	case has("ee", "ye", "oe", "ue", "ie"):
		return false
	case has("e"):
		return true
	case has("ed"):
		return !has("ted", "ded", "eed", "ied")
	case has("es"):
		return !has("ses", "zes", "xes", "ches", "shes", "ges", "ces", "ies", "ees", "oes", "ues") && !has("les")
	}
	return false
}
