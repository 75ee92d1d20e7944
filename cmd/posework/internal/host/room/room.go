// Package room is what a host knows of the people who are in: who is where in
// the course, who is stuck, what has been found so far, and what the instructor
// has ruled. It draws nothing and speaks no protocol; the board, the instructor's
// screen and the sessions read it and are told of changes.
//
// What outlives a host (rulings, attempts) it reads from the records, so that
// several hosts on one database agree. Who is connected is this host's own
// knowledge.
package room

import (
	"context"
	"errors"
	"slices"
	"strings"
	"sync"
	"time"

	"posework/grader/records"
	"posework/lessons"
)

// Room is safe for concurrent use.
type Room struct {
	Course *lessons.Course
	Store  *records.Store
	Now    func() time.Time

	mu       sync.Mutex
	visitors map[*Visitor]struct{}
	sites    map[string]*site
	tallies  map[string]*tally         // by person, folded
	found    map[string]map[string]int // by site, by finding: hand-ins that had it
	people   map[string]string         // site by person, folded
	numbers  map[string]int            // by person, folded: in the order in which they came
	rulings  cursor
	attempts cursor
	watchers map[chan struct{}]struct{}
}

// New returns the room of a course, with all that was ruled before. What was
// handed in before since is not told on the board.
func New(ctx context.Context, course *lessons.Course, store *records.Store, now func() time.Time, since time.Time) (*Room, error) {
	r := &Room{
		Course: course, Store: store, Now: now, visitors: map[*Visitor]struct{}{}, sites: map[string]*site{},
		tallies: map[string]*tally{}, found: map[string]map[string]int{}, people: map[string]string{}, numbers: map[string]int{}, watchers: map[chan struct{}]struct{}{},
	}
	newest, err := store.Attempts(ctx, records.AttemptFilter{Since: since}, records.Page{Limit: 1})
	if err != nil {
		return nil, err
	}
	if len(newest) > 0 {
		r.attempts.floor = newest[0].ID - 1
	} else if newest, err = store.Attempts(ctx, records.AttemptFilter{}, records.Page{Limit: 1, Newest: true}); err != nil {
		return nil, err
	} else if len(newest) > 0 {
		r.attempts.floor = newest[0].ID
	}
	return r, r.Read(ctx)
}

// Follow reads the records now and then until ctx is done. trouble is told what
// goes wrong, and nil when all is well again.
func (r *Room) Follow(ctx context.Context, every time.Duration, trouble func(error)) {
	tick := time.NewTicker(every)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
		err := r.Read(ctx)
		if err != nil && ctx.Err() != nil {
			return
		}
		trouble(err)
	}
}

// Read takes in what the records hold that is new.
func (r *Room) Read(ctx context.Context) error {
	return errors.Join(r.readRulings(ctx), r.readAttempts(ctx))
}

// page is how many rows are read at a time.
const page = 200

func (r *Room) readRulings(ctx context.Context) error {
	r.mu.Lock()
	after := r.rulings.after()
	r.mu.Unlock()
	for {
		list, err := r.Store.Rulings(ctx, "", records.Page{After: after, Limit: page})
		if err != nil {
			return err
		}
		for i := range list {
			r.obey(&list[i])
			after = list[i].ID
		}
		if len(list) < page {
			return nil
		}
	}
}

// Watch returns a channel that gets something when the room has changed, and a
// function that ends it.
func (r *Room) Watch() (<-chan struct{}, func()) {
	c := make(chan struct{}, 1)
	r.mu.Lock()
	defer r.mu.Unlock()
	r.watchers[c] = struct{}{}
	return c, func() {
		r.mu.Lock()
		defer r.mu.Unlock()
		delete(r.watchers, c)
	}
}

// changed is called with the room locked.
func (r *Room) changed() {
	for c := range r.watchers {
		select {
		case c <- struct{}{}:
		default: // it has not looked yet
		}
	}
}

// Enter takes a visitor in, when there are fewer than most, and fewer than own
// of the same name.
func (r *Room) Enter(v *Visitor, most, own int) error {
	r.mu.Lock()
	defer r.mu.Unlock()
	if len(r.visitors) >= most {
		return ErrFull
	}
	n := 0
	for o := range r.visitors {
		if records.Fold(o.Name) == records.Fold(v.Name) {
			n++
		}
	}
	if n >= own {
		return ErrOften
	}
	v.room = r
	v.entered, v.progress, v.key = r.Now(), r.Now(), r.Now()
	r.visitors[v] = struct{}{}
	fold := records.Fold(v.Name)
	r.people[fold] = v.Site
	if r.numbers[fold] == 0 && v.Role != records.Instructor {
		r.numbers[fold] = len(r.numbers) + 1
	}
	r.changed()
	return nil
}

// Why somebody is not taken in.
var (
	ErrFull  = errors.New("this host has as many sessions as it takes; try again later")
	ErrOften = errors.New("you have as many sessions here as one person may; leave one of them first")
)

// Leave lets a visitor go.
func (r *Room) Leave(v *Visitor) {
	r.mu.Lock()
	defer r.mu.Unlock()
	delete(r.visitors, v)
	r.changed()
}

// Tell sends an event to all visitors.
func (r *Room) Tell(e Event) {
	r.mu.Lock()
	defer r.mu.Unlock()
	for v := range r.visitors {
		v.tell(e)
	}
}

// tellSite is called with the room locked.
func (r *Room) tellSite(name string, e Event) {
	for v := range r.visitors {
		if v.Site == name {
			v.tell(e)
		}
	}
}

// Sessions is how many are in.
func (r *Room) Sessions() int {
	r.mu.Lock()
	defer r.mu.Unlock()
	return len(r.visitors)
}

// Visitors lists the learners of a site who are in, by name; of "" those of all
// sites.
func (r *Room) Visitors(site string) []*Visitor {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.visitorsOf(site)
}

func (r *Room) visitorsOf(site string) []*Visitor {
	var list []*Visitor
	for v := range r.visitors {
		if v.Role != records.Instructor && (site == "" || v.Site == site) {
			list = append(list, v)
		}
	}
	slices.SortFunc(list, func(a, b *Visitor) int {
		if c := strings.Compare(records.Fold(a.Name), records.Fold(b.Name)); c != 0 {
			return c
		}
		return a.entered.Compare(b.entered)
	})
	return list
}
