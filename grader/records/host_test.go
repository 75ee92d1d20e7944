package records

import (
	"errors"
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// A code lets its person in once, whoever else tries at the same moment, and a
// new one makes it void.
func TestCodes(t *testing.T) {
	eachPlace(t, func(t *testing.T, p place) {
		s := open(t, p.dsn(t))
		ctx := t.Context()
		add := func(person, label string, n int) int64 {
			t.Helper()
			ids, err := s.Add(ctx, &Code{Person: person, Label: label, Hash: []byte(label), Until: at(100), At: at(n)})
			if err != nil {
				t.Fatal(err)
			}
			return ids[0]
		}
		fresh := func(label string, n int) []int64 {
			t.Helper()
			list, err := s.Codes(ctx, label, at(n))
			if err != nil {
				t.Fatal(err)
			}
			var ids []int64
			for _, c := range list {
				ids = append(ids, c.ID)
			}
			return ids
		}
		first := add("Ines Calloway", "AAAA", 1)
		other := add("Tom Ashdown", "AAAA", 1)
		if d := cmp.Diff([]int64{first, other}, fresh("AAAA", 2)); d != "" {
			t.Errorf("two codes of one label (-want +got):\n%s", d)
		}
		if got := fresh("AAAA", 100); got != nil {
			t.Errorf("codes that ran out are offered: %v", got)
		}
		if err := s.UseCode(ctx, first, at(100)); !errors.Is(err, ErrUsed) {
			t.Errorf("a code that ran out: %v", err)
		}
		var wg sync.WaitGroup
		results := make([]error, 8)
		for i := range results {
			wg.Go(func() { results[i] = s.UseCode(ctx, first, at(3)) })
		}
		wg.Wait()
		in := 0
		for _, err := range results {
			switch {
			case err == nil:
				in++
			case !errors.Is(err, ErrUsed):
				t.Errorf("UseCode: %v", err)
			}
		}
		if in != 1 {
			t.Errorf("one code let %d in", in)
		}
		next := add("Ines Calloway", "BBBB", 4)
		newest := add("ines calloway", "CCCC", 5)
		if err := s.UseCode(ctx, next, at(6)); !errors.Is(err, ErrUsed) {
			t.Errorf("a code that a newer one replaced: %v", err)
		}
		if got := fresh("BBBB", 6); got != nil {
			t.Errorf("a code that a newer one replaced is offered: %v", got)
		}
		if err := s.UseCode(ctx, newest, at(6)); err != nil {
			t.Errorf("the newest code: %v", err)
		}
		if got := fresh("AAAA", 6); len(got) != 1 || got[0] != other {
			t.Errorf("another's code went with it: %v", got)
		}
		_, err := s.Add(ctx, &Code{Person: "Ines Calloway"})
		wantErr(t, err, "label is empty")
	})
}

func TestRulings(t *testing.T) {
	eachPlace(t, func(t *testing.T, p place) {
		s := open(t, p.dsn(t))
		ctx := t.Context()
		var want []Ruling
		for i, r := range []Ruling{
			{Site: "harrow-mere", By: "Tom Ashdown", Kind: "close", Lesson: "home-pose", At: at(1)},
			{Site: "annex", By: "Tom Ashdown", Kind: "note", Data: []byte(`{"text":"tea"}`), At: at(2)},
			{Site: "harrow-mere", By: "Tom Ashdown", Kind: "open", Lesson: "home-pose", At: at(3)},
		} {
			id, err := s.AddRuling(ctx, r)
			if err != nil {
				t.Fatal(err)
			}
			r.ID = id
			if i != 1 {
				r.Data = []byte("{}")
				want = append(want, r)
			}
		}
		got, err := s.Rulings(ctx, "harrow-mere", Page{})
		if d := cmp.Diff(want, got); err != nil || d != "" {
			t.Errorf("Rulings: %v (-want +got):\n%s", err, d)
		}
		got, err = s.Rulings(ctx, "", Page{After: want[0].ID})
		if err != nil || len(got) != 2 {
			t.Errorf("Rulings of all sites after the first: %v, %v", got, err)
		}
		_, err = s.AddRuling(ctx, Ruling{Site: "x", By: "Tom Ashdown", Kind: "note", Data: []byte("{"), At: at(1)})
		wantErr(t, err, "data is not JSON")
	})
}
