package lessons

import (
	"testing"
	"testing/fstest"
)

// TestSkeleton makes lessons and finds nothing wrong with them: alone, and in a
// course.
func TestSkeleton(t *testing.T) {
	for _, h := range []Head{
		{ID: "rack", Title: "Look at the rack", Module: "Own lessons", Minutes: 20},
		{ID: "r-2", Title: `Racks: "high" and low \ wide`, Module: "Own: more", Minutes: 1},
	} {
		files, err := Skeleton(h)
		if err != nil {
			t.Fatal(err)
		}
		fsys := fstest.MapFS{}
		for name, data := range files {
			fsys["30-rack/"+name] = &fstest.MapFile{Data: data}
		}
		for _, dir := range []string{".", "30-rack"} {
			problems, spreads := Check(fsys, dir)
			for _, p := range problems {
				t.Errorf("%s: %s %s", dir, p.Code, p)
			}
			if len(spreads) != 2 {
				t.Errorf("%s: %d good answers were graded in learners' cells, want 2", dir, len(spreads))
			}
		}
		c, _ := Load(fsys, ".")
		if len(c.Lessons) != 1 {
			t.Fatalf("%d lessons", len(c.Lessons))
		}
		if l := c.Lessons[0]; l.ID != h.ID || l.Title != h.Title || l.Module != h.Module || l.Minutes != h.Minutes {
			t.Errorf("the lesson is %q, %q, %q, %d minutes; want %+v", l.ID, l.Title, l.Module, l.Minutes, h)
		}
	}
}
