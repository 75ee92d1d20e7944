package refresher

// Sitting leads a person through a refresher: each question once, then those
// that were missed once more, after the solution was shown.
type Sitting struct {
	needed float64
	round  []int // indexes into state still to be asked in this round
	again  []int // missed at the first try
	state  []asked
}

type asked struct {
	id         string
	firstWrong bool
	right      bool
}

// NewSitting begins a sitting over the questions with these ids. needed is the
// pass mark, 0 to 100.
func NewSitting(ids []string, needed float64) *Sitting {
	s := &Sitting{needed: needed}
	for i, id := range ids {
		s.round = append(s.round, i)
		s.state = append(s.state, asked{id: id})
	}
	return s
}

// Next returns the index of the question to ask, and whether it was missed
// before; -1 at the end.
func (s *Sitting) Next() (index int, again bool) {
	if len(s.round) == 0 {
		return -1, false
	}
	i := s.round[0]
	return i, s.state[i].firstWrong
}

// Reply says how the question that Next returned was answered. It does nothing
// at the end.
func (s *Sitting) Reply(right bool) {
	if len(s.round) == 0 {
		return
	}
	i := s.round[0]
	s.round = s.round[1:]
	q := &s.state[i]
	q.right = right
	if !right && !q.firstWrong {
		q.firstWrong = true
		s.again = append(s.again, i)
	}
	if len(s.round) == 0 {
		s.round, s.again = s.again, nil
	}
}

// Result is the outcome of a sitting.
type Result struct {
	Asked, Missed []string // ids; Missed at the first try
	Points        float64  // questions right in the end, of 100
	Needed        float64
}

// Passed tells whether the pass mark was reached. Nothing asked is never passed.
func (r Result) Passed() bool { return len(r.Asked) > 0 && r.Points >= r.Needed }

// Result returns the outcome so far; a question not answered counts as wrong.
func (s *Sitting) Result() Result {
	r := Result{Needed: s.needed}
	right := 0
	for _, q := range s.state {
		r.Asked = append(r.Asked, q.id)
		if q.firstWrong {
			r.Missed = append(r.Missed, q.id)
		}
		if q.right {
			right++
		}
	}
	if len(s.state) > 0 {
		r.Points = 100 * float64(right) / float64(len(s.state))
	}
	return r
}
