package records

import (
	"encoding/json"
	"fmt"
	"strings"
	"sync/atomic"
	"testing"
)

// BenchmarkAddAttempt measures durable attempts: each call returns once its row
// is synced. The goal is 1,000 a second from concurrent callers.
func BenchmarkAddAttempt(b *testing.B) {
	for _, p := range places(b) {
		for _, callers := range []int{1, 16, 64} {
			b.Run(fmt.Sprintf("db=%s/callers=%d", p.name, callers), func(b *testing.B) {
				if p.dsn == nil {
					b.Skip("POSEWORK_TEST_POSTGRES is not set")
				}
				s := open(b, p.dsn(b))
				var n atomic.Int64
				b.ReportAllocs()
				// Callers wait for the disk, not for a core.
				b.SetParallelism(callers)
				b.RunParallel(func(pb *testing.PB) {
					for pb.Next() {
						i := int(n.Add(1))
						a := attempt(fmt.Sprintf("Learner %d", i%30), "L07", float64(i%101), i)
						if _, err := s.AddAttempt(b.Context(), a); err != nil {
							b.Error(err)
						}
					}
				})
				b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "attempts/s")
			})
		}
	}
}

// fill writes 100,000 attempts of 1,000 people, 40 of them with ten times as
// many as the others, with answers and sign-offs to match.
func fill(b *testing.B, s *Store) {
	b.Helper()
	const people, attempts = 1000, 100_000
	// As long as those of a twenty-step program with six findings.
	program := []byte(strings.Repeat("  - {to: over, path: line, speed: 80 mm/s, end: fly-by 5 mm}\n", 30))
	findings := json.RawMessage(`["` + strings.Repeat("clearance is 12 mm, the limit 20 mm ", 50) + `"]`)
	var rows []Row
	flush := func() {
		if _, err := s.Add(b.Context(), rows...); err != nil {
			b.Fatal(err)
		}
		rows = rows[:0]
	}
	name := func(i int) string { return fmt.Sprintf("Learner %03d", i%people) }
	for i := range people {
		rows = append(rows, &Person{Name: name(i), Crew: fmt.Sprintf("crew %d", i%12), Site: "harrow-mere", Key: fmt.Sprintf("ssh-ed25519 %d", i), At: at(0)})
	}
	flush()
	for i := range attempts {
		who := i
		if i%4 == 0 {
			who = i / 4 % 40
		}
		a := attempt(name(who), fmt.Sprintf("L%02d", i/7%22), float64(i%101), i)
		a.Program, a.Findings = program, findings
		rows = append(rows, &a)
		if i%2 == 0 {
			rows = append(rows, &Answer{Person: name(who), Deck: "D1", Question: fmt.Sprintf("Q%d", i%155), Given: "1", Right: i%3 > 0, At: at(i)})
		}
		if i%5 == 0 {
			rows = append(rows, &SignOff{Person: name(i / 5), Typed: name(i / 5), Deck: fmt.Sprintf("D%d", i/5000%6), Points: float64(i / 5000 % 2 * 100), Needed: 80, At: at(i)})
			rows = append(rows, &Practice{Person: name(who), Lesson: "L07", Kind: "run", At: at(i)})
		}
		if len(rows) > 5000 {
			flush()
		}
	}
	flush()
}

// BenchmarkList measures every list over 100,000 attempts. The goal is 50 ms.
func BenchmarkList(b *testing.B) {
	for _, p := range places(b) {
		if p.dsn == nil {
			continue
		}
		s := open(b, p.dsn(b))
		fill(b, s)
		if p.name == "postgres" {
			must(b, s.db, "VACUUM ANALYZE")
		}
		ctx := b.Context()
		const busy = "Learner 007"
		lists := []struct {
			name string
			run  func() (int, error)
		}{
			{"attempts", func() (int, error) { l, err := s.Attempts(ctx, AttemptFilter{}, Page{}); return len(l), err }},
			{"attempts of a person", func() (int, error) {
				l, err := s.Attempts(ctx, AttemptFilter{Person: busy}, Page{Newest: true})
				return len(l), err
			}},
			{"attempts of a person at a lesson", func() (int, error) {
				l, err := s.Attempts(ctx, AttemptFilter{Person: busy, Lesson: "L03"}, Page{Newest: true})
				return len(l), err
			}},
			{"attempts at a lesson", func() (int, error) {
				l, err := s.Attempts(ctx, AttemptFilter{Lesson: "L21"}, Page{Newest: true})
				return len(l), err
			}},
			{"standing attempts at a lesson", func() (int, error) {
				l, err := s.Attempts(ctx, AttemptFilter{Lesson: "L21", Standing: true}, Page{})
				return len(l), err
			}},
			{"attempts since", func() (int, error) {
				l, err := s.Attempts(ctx, AttemptFilter{Since: at(99_950)}, Page{})
				return len(l), err
			}},
			{"attempts of a person at a lesson since", func() (int, error) {
				l, err := s.Attempts(ctx, AttemptFilter{Person: busy, Lesson: "L03", Since: at(50_000)}, Page{})
				return len(l), err
			}},
			{"progress", func() (int, error) { l, err := s.Progress(ctx, busy); return len(l), err }},
			{"sheet of 250", func() (int, error) { l, err := s.Sheet(ctx, PeopleFilter{}, 250); return len(l), err }},
			{"people", func() (int, error) { l, err := s.People(ctx, PeopleFilter{}, 1000); return len(l), err }},
			{"person by key", func() (int, error) { _, err := s.PersonByKey(ctx, "ssh-ed25519 7"); return 1, err }},
			{"answers of a person", func() (int, error) { l, err := s.Answers(ctx, busy, Page{Limit: 1000}); return len(l), err }},
			{"practice of a person", func() (int, error) { l, err := s.Practices(ctx, "Learner 035", "L07", Page{}); return len(l), err }},
			{"sign-offs of a person", func() (int, error) { l, err := s.SignOffs(ctx, busy, Page{Newest: true}); return len(l), err }},
			{"entries of a site", func() (int, error) { l, err := s.Entries(ctx, "harrow-mere", Page{Newest: true}); return len(l), err }},
			{"due, everyone", func() (int, error) {
				l, err := s.Signed(ctx, SignedFilter{Due: at(100_000), Now: at(100_001)}, 1000)
				return len(l), err
			}},
			{"due, a crew", func() (int, error) {
				l, err := s.Signed(ctx, SignedFilter{PeopleFilter: PeopleFilter{Crew: "crew 3"}, Due: at(100_000), Now: at(100_001)}, 0)
				return len(l), err
			}},
			{"due, a deck never passed", func() (int, error) {
				l, err := s.Signed(ctx, SignedFilter{Deck: "D0", Due: at(100_000), Now: at(100_001)}, 1000)
				return len(l), err
			}},
			{"about", func() (int, error) { a, err := s.About(ctx, busy); return a.Kept[0].Count, err }},
		}
		for _, l := range lists {
			b.Run("db="+p.name+"/list="+l.name, func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					if n, err := l.run(); err != nil || n == 0 {
						b.Fatal(n, err)
					}
				}
			})
		}
	}
}
