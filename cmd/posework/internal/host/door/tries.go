package door

import (
	"net/netip"
	"sync"
	"time"
)

// Tries limits how often wrong codes may be tried: so often from one place, so
// often in all, in a span of time. Each right to try comes back when its span is
// over.
type Tries struct {
	PerPlace int
	All      int
	Span     time.Duration
	Now      func() time.Time

	mu     sync.Mutex
	missed []miss // oldest first
	places map[netip.Prefix]int
}

type miss struct {
	place netip.Prefix
	at    time.Time
}

// UsualTries returns the limits of a host. With 40 secret bits in a code, somebody
// who uses all tries for a year hits one of 100 codes with a chance of 1 in 350.
func UsualTries(now func() time.Time) *Tries {
	return &Tries{PerPlace: 30, All: 600, Span: 10 * time.Minute, Now: now}
}

// Allowed reports whether a place may try now.
func (t *Tries) Allowed(p netip.Prefix) bool {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.forget()
	return len(t.missed) < t.All && t.places[p] < t.PerPlace
}

// Missed counts a try that failed.
func (t *Tries) Missed(p netip.Prefix) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.forget()
	if t.places == nil {
		t.places = map[netip.Prefix]int{}
	}
	t.missed = append(t.missed, miss{p, t.Now()})
	t.places[p]++
}

// forget drops what is over. The list never grows beyond All but for tries that
// were under way.
func (t *Tries) forget() {
	limit := t.Now().Add(-t.Span)
	n := 0
	for n < len(t.missed) && !t.missed[n].at.After(limit) {
		p := t.missed[n].place
		if t.places[p]--; t.places[p] == 0 {
			delete(t.places, p)
		}
		n++
	}
	if n > 0 {
		t.missed = append([]miss(nil), t.missed[n:]...)
	}
}
