package main

import (
	"context"
	"fmt"
	"io"
	"sync"
	"time"

	"posework/cmd/posework/internal/queue"
)

// progress tells on a terminal how far the grading is, in one line that is
// written over. Without a terminal it is silent.
type progress struct {
	mu          sync.Mutex
	w           io.Writer // nil: nobody looks
	err         io.Writer
	all         int // 0: not known
	done, wrong int
	last        time.Time
	shown       bool
}

func newProgress(s *session, all int) *progress {
	p := &progress{all: all, err: s.err}
	if f, ok := asTerminal(s.err); ok {
		p.w = f
	}
	return p
}

// step counts a program that was looked at.
func (p *progress) step(wrong bool) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.done++
	if wrong {
		p.wrong++
	}
	const every = 100 * time.Millisecond
	if p.w == nil || time.Since(p.last) < every && p.done != p.all {
		return
	}
	p.last = time.Now()
	p.show()
}

func (p *progress) show() {
	text := fmt.Sprintf("%d graded", p.done)
	if p.all > 0 {
		text = fmt.Sprintf("%d of %d", p.done, p.all)
	}
	if p.wrong > 0 {
		text += fmt.Sprintf(", %d could not be graded", p.wrong)
	}
	fmt.Fprintf(p.w, "\r\x1b[K%s", text)
	p.shown = true
}

// end takes the line away.
func (p *progress) end() {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.shown {
		fmt.Fprint(p.w, "\r\x1b[K")
		p.shown = false
	}
}

// watch says from time to time when nobody takes the programs that wait.
func (p *progress) watch(ctx context.Context, q *queue.Queue, course string) (stop func()) {
	ctx, cancel := context.WithCancel(ctx)
	over := make(chan struct{})
	go func() {
		defer close(over)
		for wait := 2 * time.Second; ; wait = 30 * time.Second {
			select {
			case <-ctx.Done():
				return
			case <-time.After(wait):
			}
			if n, err := q.Workers(ctx, course); err == nil && n == 0 {
				p.say("no worker with course " + course + " and this version of posework is there; start one with: posework worker --records ...")
			}
		}
	}()
	return func() {
		cancel()
		<-over
	}
}

// left says, when the wait for a queue is given up, what becomes of the programs
// in it, and returns err.
func (p *progress) left(q *queue.Queue, err error) error {
	if q != nil {
		p.say("the programs stay in the queue; the same command within a day takes up their results")
	}
	return err
}

// say writes a line of its own.
func (p *progress) say(text string) {
	p.end()
	p.mu.Lock()
	defer p.mu.Unlock()
	fmt.Fprintf(p.err, "posework: %s\n", text)
}
