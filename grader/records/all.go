package records

import (
	"context"
	"iter"
)

// pages goes through a list page by page; after moves on to what follows the row
// it is given. Rows added meanwhile are met too.
func pages[T any](limit int, list func() ([]T, error), after func(*T)) iter.Seq2[T, error] {
	return func(yield func(T, error) bool) {
		for {
			rows, err := list()
			if err != nil {
				var zero T
				yield(zero, err)
				return
			}
			for i := range rows {
				if !yield(rows[i], nil) {
					return
				}
				after(&rows[i])
			}
			if len(rows) < limit {
				return
			}
		}
	}
}

// all goes through a list by the ids of its rows; small pages, since rows may be
// large.
func all[T any](list func(Page) ([]T, error), id func(*T) int64) iter.Seq2[T, error] {
	return func(yield func(T, error) bool) {
		page := Page{Limit: 100}
		pages(page.Limit, func() ([]T, error) { return list(page) }, func(r *T) { page.After = id(r) })(yield)
	}
}

// AllAttempts goes through attempts, oldest first. It ends after an error.
func (s *Store) AllAttempts(ctx context.Context, w AttemptFilter) iter.Seq2[Attempt, error] {
	return all(func(p Page) ([]Attempt, error) { return s.Attempts(ctx, w, p) }, func(a *Attempt) int64 { return a.ID })
}

// AllAnswers goes through the answers of a person, or of all when it is empty.
func (s *Store) AllAnswers(ctx context.Context, person string) iter.Seq2[Answer, error] {
	return all(func(p Page) ([]Answer, error) { return s.Answers(ctx, person, p) }, func(a *Answer) int64 { return a.ID })
}

// AllPractices goes through the practice log of a person, or of all when it is
// empty.
func (s *Store) AllPractices(ctx context.Context, person string) iter.Seq2[Practice, error] {
	return all(func(p Page) ([]Practice, error) { return s.Practices(ctx, person, "", p) }, func(a *Practice) int64 { return a.ID })
}

// AllSignOffs goes through the sign-offs of a person.
func (s *Store) AllSignOffs(ctx context.Context, person string) iter.Seq2[Entry, error] {
	return all(func(p Page) ([]Entry, error) { return s.SignOffs(ctx, person, p) }, func(e *Entry) int64 { return e.ID })
}

// AllEntries goes through the chain of a site, or of all when it is empty.
func (s *Store) AllEntries(ctx context.Context, site string) iter.Seq2[Entry, error] {
	return all(func(p Page) ([]Entry, error) { return s.Entries(ctx, site, p) }, func(e *Entry) int64 { return e.ID })
}

// byName goes through a list of people.
func byName[T any](w *PeopleFilter, list func(limit int) ([]T, error), name func(*T) string) iter.Seq2[T, error] {
	const limit = sheetMax // the smallest of the lists' own limits
	return pages(limit, func() ([]T, error) { return list(limit) }, func(r *T) { w.After = name(r) })
}

// AllPeople goes through people, by name.
func (s *Store) AllPeople(ctx context.Context, w PeopleFilter) iter.Seq2[Person, error] {
	return byName(&w, func(n int) ([]Person, error) { return s.People(ctx, w, n) }, func(p *Person) string { return p.Name })
}

// AllStandings goes through the mark sheet, by name.
func (s *Store) AllStandings(ctx context.Context, w PeopleFilter) iter.Seq2[Standing, error] {
	return byName(&w, func(n int) ([]Standing, error) { return s.Sheet(ctx, w, n) }, func(r *Standing) string { return r.Person.Name })
}

// AllSigned goes through people with their newest sign-off, by name.
func (s *Store) AllSigned(ctx context.Context, w SignedFilter) iter.Seq2[Signed, error] {
	return byName(&w.PeopleFilter, func(n int) ([]Signed, error) { return s.Signed(ctx, w, n) }, func(g *Signed) string { return g.Person.Name })
}
