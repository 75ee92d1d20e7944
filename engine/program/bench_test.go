package program

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"posework/engine/source"
)

// fill repeats a part, numbered, until a text has the greatest size that is read.
func fill(first, part, last string) []byte {
	var b strings.Builder
	b.WriteString(first)
	for i := 0; b.Len()+len(part)+len(last)+12 < source.MaxBytes; i++ {
		if strings.Contains(part, "%") {
			fmt.Fprintf(&b, part, i)
		} else {
			b.WriteString(part)
		}
	}
	b.WriteString(last)
	return []byte(b.String())
}

// BenchmarkRead reads a program as a learner writes it, and texts at the limit of
// size that cost the most.
func BenchmarkRead(b *testing.B) {
	full, err := os.ReadFile("testdata/full.yaml")
	if err != nil {
		b.Fatal(err)
	}
	const do = "posework: program/1\nsteps:\n"
	for _, bm := range []struct {
		name string
		text []byte
	}{
		{"full", full},
		{"junk=open-mapping", fill("{", "a,", "")},
		{"junk=open-list", fill("[", "a,", "")},
		{"junk=comments", fill("[", "a, #\n", "")},
		{"junk=words", fill("", "x ", "")},
		{"junk=unknown-keys", fill("", "k%d: 1\n", "")},
		{"junk=one-key", fill("", "a: 1\n", "")},
		{"junk=unknown-poses", fill(do, "- {to: pose-%d, path: joint, speed: 1 %%, end: stop}\n", "")},
		{"junk=poses", fill("posework: program/1\nposes: {", "p%d: {axes: [0, 0, 0, 0, 0, 0]}, ", "}\nsteps: [{to: x, path: joint, speed: 1 %, end: stop}]")},
		{"junk=misspelt", fill(do, "- {too: a, pth: joint, sped: 1 %, ent: stop}\n", "")},
		{"junk=routines", fill(do+"- {call: r0}\nroutines:\n", "  r%[1]d: [{repeat: 1000, steps: [{call: r%[1]d0}]}]\n", "")},
	} {
		b.Run(bm.name, func(b *testing.B) {
			b.ReportAllocs()
			b.SetBytes(int64(len(bm.text)))
			for b.Loop() {
				Read("f", bm.text)
			}
		})
	}
}

// BenchmarkEdit changes the speed of one step.
func BenchmarkEdit(b *testing.B) {
	full, err := os.ReadFile("testdata/full.yaml")
	if err != nil {
		b.Fatal(err)
	}
	f, l := Open("full.yaml", full)
	if len(l) > 0 {
		b.Fatal(l)
	}
	s := *f.Step(At{Index: []int{2}})
	s.Speed.MMS = 75
	b.ReportAllocs()
	for b.Loop() {
		if _, err := f.ReplaceStep(At{Index: []int{2}}, &s); err != nil {
			b.Fatal(err)
		}
	}
}
