package program

import (
	"bytes"
	"os"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// FuzzRead: any text is read or refused with a message; what was read is written
// by Format and read back as the same program; and an edit that changes nothing
// changes no byte.
func FuzzRead(f *testing.F) {
	full, err := os.ReadFile("testdata/full.yaml")
	if err != nil {
		f.Fatal(err)
	}
	f.Add(full)
	f.Add([]byte("{posework: program/1, steps: [{pause: 1 s}]}"))
	f.Add([]byte(head + "steps:\n- {repeat: 2, steps: [{call: r}]}\nroutines: {r: [{wait: {a: on}}]}\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		p, l := Read("f", data)
		if (p == nil) != (len(l) > 0) {
			t.Fatalf("program %v with reports %v", p, l)
		}
		if p == nil {
			return
		}
		text := Format(p)
		q, l := Read("f", text)
		if len(l) > 0 {
			t.Fatalf("Format writes what is not read: %v\n%s", l, text)
		}
		if again := Format(q); !bytes.Equal(text, again) {
			t.Fatalf("written again:\n%s\nfirst:\n%s", again, text)
		}
		file, l := Open("f", data)
		if len(l) > 0 || !bytes.Equal(file.Bytes(), data) {
			t.Fatalf("opening changes the text: %v", l)
		}
		for _, at := range places("", p.Steps, nil, false) {
			kept, err := file.ReplaceStep(at, file.Step(at))
			if err != nil || !bytes.Equal(kept.Bytes(), data) {
				// Numbers are compared as Format rounds them.
				if err == nil && cmp.Equal(kept.Program(), p, same) {
					continue
				}
				t.Fatalf("replacing the step %v by itself: %v\n%s", at, err, kept.Bytes())
			}
			shorter, err := file.DeleteStep(at)
			if err != nil {
				t.Fatalf("deleting the step %v: %v", at, err)
			}
			if len(stepsBelow(shorter.Program().Steps)) != len(stepsBelow(p.Steps))-len(stepsBelow([]Step{*file.Step(at)})) {
				t.Fatalf("deleting the step %v deletes another number\n%s", at, shorter.Bytes())
			}
			if len(at.Index) > 1 || at.Index[0] > 3 {
				break // enough: the work grows with the square of the steps
			}
		}
	})
}

func stepsBelow(steps []Step) []At { return places("", steps, nil, false) }
