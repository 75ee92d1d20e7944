package refresher

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"
)

// learner forgets and learns as the DSR model of memory has it: difficulty,
// stability, retrievability, with the formulas and default weights of FSRS-6
// (open-spaced-repetition, free spaced repetition scheduler), which were fitted
// to the recorded reviews of many thousand real learners. A question last met t
// days ago is answered rightly with probability (1 + f*t/s)^-w20, where f makes
// that 90 % at t = s. It shares no formula and no parameter with SM-2.
type learner struct {
	difficulty []float64 // 1 to 10
	stability  []float64 // days
	met        []float64 // day of the last meeting
	rnd        *rand.Rand
}

// The default weights of FSRS-6; w17 to w19 concern reviews on the same day.
var w = [...]float64{0.212, 1.2931, 2.3065, 8.2956, 6.4133, 0.8334, 3.0194, 0.001, 1.8722, 0.1666, 0.796, 1.4835, 0.0614, 0.2629,
	1.6483, 0.6014, 1.8729, 0.5425, 0.0912, 0.0658, 0.1542}

func firstDifficulty(grade int) float64 {
	return clamp(w[4]-math.Exp(w[5]*float64(grade-1))+1, 1, 10)
}

func clamp(x, lo, hi float64) float64 { return min(hi, max(lo, x)) }

// newLearner has worked through all lessons on day 0, with how each question went
// then drawn at random: 2 of 10 not at all (grade 1), 2 hardly (2), 5 well (3), 1
// with ease (4). That share is ours.
func newLearner(questions int, seed uint64) *learner {
	l := &learner{rnd: rand.New(rand.NewPCG(seed, 42))}
	for range questions {
		grade := [...]int{1, 1, 2, 2, 3, 3, 3, 3, 3, 4}[l.rnd.IntN(10)]
		l.difficulty = append(l.difficulty, firstDifficulty(grade))
		l.stability = append(l.stability, w[grade-1])
		l.met = append(l.met, 0)
	}
	return l
}

// knows returns the probability of a right reply.
func (l *learner) knows(q int, day float64) float64 {
	f := math.Pow(0.9, -1/w[20]) - 1
	return math.Pow(1+f*(day-l.met[q])/l.stability[q], -w[20])
}

func (l *learner) answer(q int, day float64) bool {
	r := l.knows(q, day)
	ok := l.rnd.Float64() < r
	d, s := l.difficulty[q], l.stability[q]
	grade := 3.0
	if ok {
		s *= 1 + math.Exp(w[8])*(11-d)*math.Pow(s, -w[9])*math.Expm1(w[10]*(1-r))
	} else {
		grade = 1
		s = min(s, w[11]*math.Pow(d, -w[12])*(math.Pow(s+1, w[13])-1)*math.Exp(w[14]*(1-r)))
	}
	d -= w[6] * (grade - 3) * (10 - d) / 9
	l.difficulty[q] = clamp(w[7]*firstDifficulty(4)+(1-w[7])*d, 1, 10)
	l.stability[q] = s
	l.met[q] = day
	return ok
}

// retained returns how many questions the learner would answer rightly.
func (l *learner) retained(day float64) float64 {
	sum := 0.0
	for q := range l.stability {
		sum += l.knows(q, day)
	}
	return sum
}

// shifts runs a refresher before each shift (five days a week) and returns the
// questions retained, on average over the days of the second half.
func shifts(questions []Question, seed uint64, upTo int, pick func(replies []Reply, now time.Time) []int) float64 {
	l := newLearner(len(questions), seed)
	var replies []Reply
	for _, q := range questions { // the quiz of the lesson
		replies = append(replies, Reply{Question: q.ID, Right: true, At: start})
	}
	sum, n := 0.0, 0
	for d := 1; d <= upTo; d++ {
		if d%7 < 5 {
			now := day(float64(d))
			for _, q := range pick(replies, now) {
				replies = append(replies, Reply{Question: questions[q].ID, Right: l.answer(q, float64(d)), At: now})
			}
		}
		if d > upTo/2 {
			sum += l.retained(float64(d) + 0.5)
			n++
		}
	}
	return sum / float64(n)
}

// TestScheduleBeatsFixedOrder compares the questions retained under the schedule
// with those under a fixed order that asks as many questions of the same kinds,
// over many simulated learners. All seeds are fixed.
func TestScheduleBeatsFixedOrder(t *testing.T) {
	for _, size := range []int{24, 60, 155} {
		var questions []Question
		for i := range size {
			questions = append(questions, Question{ID: fmt.Sprint(i), Time: 75 * time.Second, Spot: i%6 == 5})
		}
		scheduled := func(replies []Reply, now time.Time) []int {
			picked, err := Pick(questions, Recall(replies, minute), now, Longest)
			if err != nil {
				t.Fatal(err)
			}
			var list []int
			for _, c := range picked {
				list = append(list, c.At)
			}
			return list
		}
		fixed := func() func([]Reply, time.Time) []int {
			var spots, others []int
			for i, q := range questions {
				if q.Spot {
					spots = append(spots, i)
				} else {
					others = append(others, i)
				}
			}
			turn := 0
			return func([]Reply, time.Time) []int {
				list := []int{spots[turn%len(spots)]}
				for i := range 3 {
					list = append(list, others[(3*turn+i)%len(others)])
				}
				turn++
				return list
			}
		}
		const learners, upTo = 40, 180
		var gains []float64
		var a, b float64
		wins := 0
		for seed := range uint64(learners) {
			s := shifts(questions, seed, upTo, scheduled)
			f := shifts(questions, seed, upTo, fixed())
			a, b = a+s/learners, b+f/learners
			gains = append(gains, s/f)
			if s > f {
				wins++
			}
		}
		slices.Sort(gains)
		t.Logf("of %d questions %.1f retained by schedule, %.1f in fixed order; better for %d of %d learners, factors %.3f to %.3f, median %.3f",
			size, a, b, wins, learners, gains[0], gains[learners-1], gains[learners/2])
		if a <= b || wins < learners*3/4 {
			t.Errorf("of %d questions the schedule retains %.2f, the fixed order %.2f; better for %d of %d learners", size, a, b, wins, learners)
		}
	}
}
