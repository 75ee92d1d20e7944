package lessons

import (
	"math"
	"testing"
)

// TestGradeLevel checks the formula against the figures of Wikipedia,
// "Flesch-Kincaid readability tests": -1.3 for Green Eggs and Ham with 5.7 words
// a sentence and 1.02 syllables a word, and -3.40 for the lowest grade there is,
// sentences of one word of one syllable.
func TestGradeLevel(t *testing.T) {
	if got := gradeLevel(5.7, 1.02); !(math.Abs(got+1.3) <= 0.05) {
		t.Errorf("gradeLevel(5.7, 1.02) = %.3f, want -1.3", got)
	}
	if got := gradeLevel(1, 1); !(math.Abs(got+3.40) <= 1e-9) {
		t.Errorf("gradeLevel(1, 1) = %.3f, want -3.40", got)
	}
}

// TestGrade checks what is counted as a word, a sentence and a syllable.
func TestGrade(t *testing.T) {
	for _, tt := range []struct {
		in                          string
		words, sentences, syllables float64
	}{
		{"The cat sat on the mat.", 6, 1, 6},
		{"Go. Go on! Why not?", 5, 3, 5},
		{"At 250 mm/s the tip is calm", 6, 1, 6}, // a number is no word
		{"Stop (now). \"Look.\" Then go:", 5, 3, 5},
		{"A two-step rule.", 3, 1, 4},
	} {
		want := gradeLevel(tt.words/tt.sentences, tt.syllables/tt.words)
		if got := Grade(tt.in); !(math.Abs(got-want) <= 1e-9) {
			t.Errorf("Grade(%q) = %.3f, want %.3f", tt.in, got, want)
		}
	}
	for _, none := range []string{"", "12 34."} {
		if got := Grade(none); got != 0 {
			t.Errorf("Grade(%q) = %v, want 0", none, got)
		}
	}
}

// TestSyllables checks words whose division stands in any dictionary.
func TestSyllables(t *testing.T) {
	for word, want := range map[string]int{
		"arm": 1, "axis": 2, "singularity": 5, "table": 2, "move": 1, "moves": 1,
		"moved": 1, "stopped": 1, "wanted": 2, "faces": 2, "places": 2, "rule": 1,
		"configuration": 5, "alignment": 3, "fixture": 2, "manual": 3, "special": 2, "quality": 3, "reach": 1,
		"poses": 2, "employer": 3, "area": 3, "the": 1, "free": 1, "dwells": 1,
		"question": 2, "region": 2, "sea": 1, "medium": 3, "angle": 2, "handle": 2, "file": 1, "crate": 1,
	} {
		if got := syllableCount(word); got != want {
			t.Errorf("syllableCount(%q) = %d, want %d", word, got, want)
		}
	}
}
