package refresher

import (
	"path/filepath"
	"testing"
	"time"

	"posework/grader/records"
)

const month = 30 * 24 * time.Hour

func TestJudge(t *testing.T) {
	now := day(100)
	tests := []struct {
		name  string
		g     records.Signed
		want  Standing
		words string
	}{
		{"never", records.Signed{}, Never, "never signed"},
		{"today", records.Signed{Ever: true, At: now}, Valid, "valid"},
		{"at the very end", records.Signed{Ever: true, At: now.Add(-month)}, Valid, "valid"},
		{"a moment later", records.Signed{Ever: true, At: now.Add(-month - time.Microsecond)}, Overdue, "overdue"},
		{"ahead of now", records.Signed{Ever: true, At: now.Add(time.Microsecond)}, Ahead, "dated ahead; check the clock"},
	}
	for _, tt := range tests {
		got, until := Judge(tt.g, month, now)
		if got != tt.want || got.String() != tt.words {
			t.Errorf("%s: %v, want %v", tt.name, got, tt.want)
		}
		if tt.g.Ever && !until.Equal(tt.g.At.Add(month)) {
			t.Errorf("%s: until %v", tt.name, until)
		}
	}
}

// The list that the records give and what Judge says must be the same people.
func TestDueListAgreesWithJudge(t *testing.T) {
	s, err := records.Open(t.Context(), filepath.Join(t.TempDir(), "records.db"))
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	now := day(100)
	for name, at := range map[string]time.Time{
		"Ines Calloway": now.Add(-month), "Tom Ashdown": now.Add(-month - time.Microsecond), "Abel Root": now, "Zoë Marsh": now.Add(time.Hour),
	} {
		if _, err := s.AddSignOff(t.Context(), records.SignOff{Person: name, Typed: name, Deck: "refresher", Points: 100, Needed: 100, At: at}); err != nil {
			t.Fatal(err)
		}
	}
	if err := s.AddPerson(t.Context(), records.Person{Name: "Never Signed", At: now}); err != nil {
		t.Fatal(err)
	}
	all, err := s.Signed(t.Context(), records.SignedFilter{}, 0)
	if err != nil || len(all) != 5 {
		t.Fatal(all, err)
	}
	due, err := s.Signed(t.Context(), DueFilter(records.PeopleFilter{}, "", 100, month, now), 0)
	if err != nil {
		t.Fatal(err)
	}
	listed := map[string]bool{}
	for _, g := range due {
		listed[g.Person.Name] = true
	}
	for _, g := range all {
		if st, _ := Judge(g, month, now); (st != Valid) != listed[g.Person.Name] {
			t.Errorf("%s is %v, but listed as due: %v", g.Person.Name, st, listed[g.Person.Name])
		}
	}
	if len(listed) != 3 {
		t.Errorf("due: %v, want three", listed)
	}
}
