package marking

import (
	"context"
	"iter"
	"sync"
)

// Stream grades jobs with n calls of grade at once, such as a [Grader]'s, and
// gives their results in the order of the jobs. Not more than a few times n jobs
// are held at any moment: jobs are asked for as results are taken. An error ends
// the stream; so does a consumer that stops.
func Stream[J, R any](ctx context.Context, n int, jobs iter.Seq[J], grade func(context.Context, J) (R, error)) iter.Seq2[R, error] {
	return func(yield func(R, error) bool) {
		n := max(1, n)
		ctx, cancel := context.WithCancel(ctx)
		s := &stream[J, R]{ctx: ctx, grade: grade, todo: make(chan *pending[J, R]), order: make(chan *pending[J, R], ahead*n)}
		var all sync.WaitGroup
		defer all.Wait()
		defer cancel()
		all.Go(func() { s.feed(jobs) })
		for range n {
			all.Go(s.work)
		}
		for p := range s.order {
			<-p.done
			if !yield(p.result, p.err) || p.err != nil {
				return
			}
		}
		if err := ctx.Err(); err != nil {
			var none R
			yield(none, err)
		}
	}
}

// ahead is how many results a worker may have waiting behind a slow one.
const ahead = 8

type stream[J, R any] struct {
	ctx   context.Context
	grade func(context.Context, J) (R, error)
	todo  chan *pending[J, R]
	order chan *pending[J, R]
}

// pending is a job on its way; done is closed once it has a result.
type pending[J, R any] struct {
	job    J
	result R
	err    error
	done   chan struct{}
}

// feed hands the jobs to the workers until there are no more.
func (s *stream[J, R]) feed(jobs iter.Seq[J]) {
	defer close(s.order)
	defer close(s.todo)
	for j := range jobs {
		p := &pending[J, R]{job: j, done: make(chan struct{})}
		select {
		case s.order <- p:
		case <-s.ctx.Done():
			return
		}
		select {
		case s.todo <- p:
		case <-s.ctx.Done():
			p.err = s.ctx.Err()
			close(p.done)
			return
		}
	}
}

func (s *stream[J, R]) work() {
	for p := range s.todo {
		p.result, p.err = s.grade(s.ctx, p.job)
		close(p.done)
	}
}
