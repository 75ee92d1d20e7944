package host

import (
	"sync"
	"time"
)

// pace is how often sessions draw: as often as people see the difference, and less
// when the machine does not keep up, so that every key is answered soon rather than
// every picture drawn. All sessions of a host share one.
type pace struct {
	mu    sync.Mutex
	now   time.Duration // between two frames of a session; 0: the least
	since time.Time     // when the present count began
	count int
	late  time.Duration // the sum of delays
}

const (
	leastApart = time.Second / 30
	mostApart  = 80 * time.Millisecond
	paceSpan   = 250 * time.Millisecond // after which the pace is looked at again
	slowFrom   = 15 * time.Millisecond  // delays on average, from which it is slowed
	fastBelow  = 4 * time.Millisecond   // and below which it may be faster again
)

// apart is the least time between two frames of a session.
func (p *pace) apart() time.Duration {
	p.mu.Lock()
	defer p.mu.Unlock()
	return max(p.now, leastApart)
}

// delayed counts how much later than planned a frame came.
func (p *pace) delayed(by time.Duration, now time.Time) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.count == 0 {
		p.since = now
	}
	p.count++
	p.late += max(0, by)
	if now.Sub(p.since) < paceSpan {
		return
	}
	switch mean := p.late / time.Duration(p.count); {
	case mean > slowFrom:
		p.now = min(max(p.now, leastApart)*5/4, mostApart)
	case mean < fastBelow:
		p.now = max(p.now*9/10, leastApart)
	}
	p.count, p.late = 0, 0
}
