package host

import (
	"runtime"
	"sync"
	"time"
)

// pace is how often sessions draw: as often as people see the difference, and less
// when many draw or the machine does not keep up, so that every key is answered
// soon rather than every picture drawn. All sessions of a host share one.
type pace struct {
	mu       sync.Mutex
	now      time.Duration // between two frames of a session, by the delays; 0: the least
	window   int           // counts spans
	since    time.Time     // when the present span began
	sessions int           // that have drawn in it
	before   int           // that drew in the one before
	cost     time.Duration // of a frame, on average
	delays   int
	late     time.Duration // the sum of delays
}

const (
	leastApart = time.Second / 30
	crowdApart = 70 * time.Millisecond  // of a crowd, however large, as long as the machine keeps up
	mostApart  = 400 * time.Millisecond // when it does not
	paceSpan   = 250 * time.Millisecond // after which the pace is looked at again
	slowFrom   = 25 * time.Millisecond  // delays on average, from which it is slowed
	fastBelow  = 6 * time.Millisecond   // and below which it may be faster again
	// drawShare is the part of all processors that drawing may take. What comes with
	// a frame, from keys to encryption, takes as much again.
	drawShare = 0.4
	costSpan  = 64 // frames over which their cost is averaged
)

// beat is a session's part of a pace.
type beat struct {
	of     *pace
	window int // in which span the session drew last
}

// Apart is the least time between two frames of the session.
func (b *beat) Apart() time.Duration { return b.of.apart() }

// Drew counts a frame that took so long to draw.
func (b *beat) Drew(took time.Duration, at time.Time) { b.of.drew(&b.window, took, at) }

// Delayed counts how much later than planned a frame came.
func (b *beat) Delayed(by time.Duration, at time.Time) { b.of.delayed(by, at) }

// apart is the least time between two frames of a session.
func (p *pace) apart() time.Duration {
	p.mu.Lock()
	defer p.mu.Unlock()
	sessions := time.Duration(max(p.sessions, p.before))
	crowd := time.Duration(float64(sessions*p.cost) / (drawShare * float64(runtime.GOMAXPROCS(0))))
	return max(p.now, min(crowd, crowdApart), leastApart)
}

// drew counts a frame that took so long to draw. window is the session's own: in
// which span it drew last.
func (p *pace) drew(window *int, took time.Duration, now time.Time) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.turn(now)
	if *window != p.window {
		*window = p.window
		p.sessions++
	}
	p.cost += (took - p.cost) / costSpan
}

// delayed counts how much later than planned a frame came.
func (p *pace) delayed(by time.Duration, now time.Time) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.delays++
	p.late += max(0, by)
	p.turn(now)
}

// turn begins a new span when the present one is over.
func (p *pace) turn(now time.Time) {
	if p.window == 0 {
		p.window, p.since = 1, now
	}
	if now.Sub(p.since) < paceSpan {
		return
	}
	if p.delays > 0 {
		switch mean := p.late / time.Duration(p.delays); {
		case mean > slowFrom:
			p.now = min(max(p.now, leastApart)*5/4, mostApart)
		case mean < fastBelow:
			p.now = max(p.now*9/10, leastApart)
		}
	}
	p.window, p.since, p.before = p.window+1, now, p.sessions
	p.sessions, p.delays, p.late = 0, 0, 0
}
