package records

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"time"
)

// Verdict is how an attempt ended.
type Verdict string

// The verdicts.
const (
	Passed    Verdict = "passed"
	NotPassed Verdict = "not passed"
	Ungraded  Verdict = "ungraded"  // the program could not be graded
	Withdrawn Verdict = "withdrawn" // a correction: the attempt does not count
)

// Attempt is one program handed in for a lesson.
type Attempt struct {
	ID       int64 // given by the store
	Person   string
	Lesson   string
	Program  []byte // the file as handed in, so that it can be graded again
	Seed     uint64 // of the variant of the cell
	Verdict  Verdict
	Points   float64         // 0 to 100
	Duration time.Duration   // from opening the task to handing in; 0 when unknown
	Course   string          // version of the course that graded it
	Findings json.RawMessage // as the grader reports them; empty means []
	// Job names the grading job, if any: a second attempt with the same job is
	// not recorded again, so that a job done twice counts once.
	Job string
	// Corrects is the id of the attempt that this one replaces, 0 for none. Both
	// stay; only the newer counts.
	Corrects int64
	// Regrades is the id of the attempt in which the program was handed in, where
	// this one is a later grading of it; 0 for one handed in. It has the program,
	// the seed and the practice log of that one.
	Regrades int64
	Log      json.RawMessage // practice log handed in with the program; empty for none
	At       time.Time
}

func (a *Attempt) check() error {
	var c checks
	c.person(&a.Person)
	c.word("lesson", a.Lesson, false)
	c.word("course", a.Course, true)
	c.word("job", a.Job, true)
	c.text("program", len(a.Program))
	switch a.Verdict {
	case Passed, NotPassed, Ungraded:
	case Withdrawn:
		if a.Corrects == 0 {
			c.errs = append(c.errs, errors.New("withdrawn needs the id of the attempt that is withdrawn"))
		}
	default:
		c.errs = append(c.errs, fmt.Errorf("verdict %q is unknown", a.Verdict))
	}
	c.points("points", &a.Points)
	c.duration(a.Duration)
	c.json("findings", &a.Findings, "[]")
	if len(a.Log) > 0 {
		c.json("practice log", &a.Log, "")
	}
	c.time(a.At)
	return c.err("attempt")
}

func (a *Attempt) insert(t *tx) (int64, error) {
	person, err := personID(t, a.Person, a.At)
	if err != nil {
		return 0, err
	}
	if a.Corrects != 0 {
		if a.Job != "" { // a job done twice finds its attempt corrected already
			if id, err := a.sameJob(t, person); !errors.Is(err, sql.ErrNoRows) {
				return id, err
			}
		}
		if err := a.corrected(t, person); err != nil {
			return 0, err
		}
	}
	if a.Regrades != 0 {
		if err := a.regraded(t, person); err != nil {
			return 0, err
		}
	}
	program := a.Program
	if program == nil {
		program = []byte{}
	}
	id, err := t.id(`INSERT INTO attempt (person, lesson, program, seed, verdict, points, duration, course, findings, job, corrects, at, regrades, log)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14) ON CONFLICT (job) DO NOTHING RETURNING id`,
		person, a.Lesson, program, int64(a.Seed), string(a.Verdict), a.Points, a.Duration.Microseconds(), a.Course, string(a.Findings),
		sql.NullString{String: a.Job, Valid: a.Job != ""}, maybe(a.Corrects), micros(a.At), maybe(a.Regrades), string(a.Log))
	if errors.Is(err, sql.ErrNoRows) {
		return a.sameJob(t, person)
	}
	if err != nil {
		return 0, err
	}
	return id, a.count(t, person)
}

// maybe is an id that may be missing, as 0.
func maybe(id int64) sql.NullInt64 { return sql.NullInt64{Int64: id, Valid: id != 0} }

// regraded checks the attempt whose program a grades again.
func (a *Attempt) regraded(t *tx, person int64) error {
	var ofPerson int64
	var lesson string
	var root sql.NullInt64
	err := t.one([]any{&ofPerson, &lesson, &root}, "SELECT person, lesson, regrades FROM attempt WHERE id = $1", a.Regrades)
	switch {
	case errors.Is(err, sql.ErrNoRows):
		return refused("attempt %d, which is graded again: %w", a.Regrades, ErrNotFound)
	case err != nil:
		return err
	case ofPerson != person || lesson != a.Lesson:
		return refused("attempt %d is another person's or lesson's; grading again keeps both", a.Regrades)
	case root.Valid:
		return refused("attempt %d was itself graded again from attempt %d; name that one", a.Regrades, root.Int64)
	}
	return nil
}

// corrected checks the attempt that a replaces.
func (a *Attempt) corrected(t *tx, person int64) error {
	var ofPerson int64
	var lesson string
	var by sql.NullInt64
	err := t.one([]any{&ofPerson, &lesson, &by}, `SELECT a.person, a.lesson, b.id FROM attempt a
		LEFT JOIN attempt b ON b.corrects = a.id WHERE a.id = $1`, a.Corrects)
	switch {
	case errors.Is(err, sql.ErrNoRows):
		return refused("attempt %d, which is to be corrected: %w", a.Corrects, ErrNotFound)
	case err != nil:
		return err
	case ofPerson != person || lesson != a.Lesson:
		return refused("attempt %d is another person's or lesson's; a correction keeps both", a.Corrects)
	case by.Valid:
		return refused("attempt %d was corrected by attempt %d already; correct that one", a.Corrects, by.Int64)
	}
	return nil
}

// sameJob returns the attempt that the job recorded before.
func (a *Attempt) sameJob(t *tx, person int64) (int64, error) {
	var id, ofPerson int64
	var lesson string
	if err := t.one([]any{&id, &ofPerson, &lesson}, "SELECT id, person, lesson FROM attempt WHERE job = $1", a.Job); err != nil {
		return 0, err
	}
	if ofPerson != person || lesson != a.Lesson {
		return 0, refused("job %q recorded another person's or lesson's attempt before", a.Job)
	}
	return id, nil
}

// count brings the sums in progress up to date with a.
func (a *Attempt) count(t *tx, person int64) error {
	if a.Corrects != 0 {
		return recount(t, person, a.Lesson)
	}
	return t.exec(`INSERT INTO progress (person, lesson, attempts, best, passed, last) VALUES ($1, $2, 1, $3, $4, $5)
		ON CONFLICT (person, lesson) DO UPDATE SET attempts = progress.attempts + 1,
			best = CASE WHEN excluded.best > progress.best THEN excluded.best ELSE progress.best END,
			passed = CASE WHEN excluded.passed > progress.passed THEN excluded.passed ELSE progress.passed END,
			last = excluded.last`,
		person, a.Lesson, a.Points, bit(a.Verdict == Passed), micros(a.At))
}

// standing is the condition under which attempt a counts.
const standing = `a.verdict <> '` + string(Withdrawn) + `' AND NOT EXISTS (SELECT 1 FROM attempt b WHERE b.corrects = a.id)`

// sums computes what progress holds, of the attempts a that fulfil a condition.
// The newest attempt is the last, whatever its time says: a clock may have been
// wrong. What was graded again was handed in when it was.
func sums(cond string) string {
	return `INSERT INTO progress (person, lesson, attempts, best, passed, last)
		SELECT s.person, s.lesson, s.attempts, s.best, s.passed, n.at FROM (
			SELECT a.person, a.lesson, count(*) AS attempts, max(a.points) AS best, max(coalesce(a.regrades, a.id)) AS newest,
				max(CASE WHEN a.verdict = '` + string(Passed) + `' THEN 1 ELSE 0 END) AS passed
			FROM attempt a WHERE ` + cond + ` GROUP BY a.person, a.lesson
		) s JOIN attempt n ON n.id = s.newest`
}

// recount computes the sums of one person and lesson afresh.
func recount(t *tx, person int64, lesson string) error {
	if err := t.exec("DELETE FROM progress WHERE person = $1 AND lesson = $2", person, lesson); err != nil {
		return err
	}
	return t.exec(sums("a.person = $1 AND a.lesson = $2 AND "+standing), person, lesson)
}

// recountAll computes all sums; there must be none yet.
func recountAll(t *tx) error { return t.exec(sums(standing)) }

// AddAttempt records an attempt and returns its id.
func (s *Store) AddAttempt(ctx context.Context, a Attempt) (int64, error) { return s.add(ctx, &a) }

// AttemptFilter says which attempts to list. Zero fields hold for all.
type AttemptFilter struct {
	Person, Lesson string
	Since          time.Time // recorded at this time or later
	Standing       bool      // leave out what was corrected or withdrawn
}

const attemptColumns = `a.id, p.name, a.lesson, a.program, a.seed, a.verdict, a.points, a.duration, a.course,
	a.findings, a.job, a.corrects, a.at, a.regrades, a.log FROM attempt a JOIN person p ON p.id = a.person`

// Attempts lists attempts.
func (s *Store) Attempts(ctx context.Context, w AttemptFilter, page Page) ([]Attempt, error) {
	return s.attempts(ctx, s.db, w, page)
}

func (s *Store) attempts(ctx context.Context, q querier, w AttemptFilter, page Page) ([]Attempt, error) {
	f := &filter{}
	if w.Person != "" {
		id, _, err := s.knownID(ctx, q, w.Person)
		if err != nil {
			return nil, err
		}
		f.and("a.person = %s", id)
	}
	if w.Lesson != "" {
		f.and("a.lesson = %s", w.Lesson)
	}
	if !w.Since.IsZero() {
		f.and("a.at >= %s", micros(w.Since))
		// The index on time finds where to begin; ids follow time but for clocks
		// that were set back. The plus keeps SQLite from searching by id instead.
		f.and("a.id >= (SELECT min(+m.id) FROM attempt m WHERE m.at >= %s)", micros(w.Since))
	}
	if w.Standing {
		f.where = append(f.where, standing)
	}
	var list []Attempt
	query := "SELECT " + attemptColumns + f.page("a.id", page)
	err := s.rows(ctx, q, query, f.args, func(r *sql.Rows) error {
		a, err := scanAttempt(r)
		list = append(list, a)
		return err
	})
	return list, err
}

// Attempt returns one attempt, or [ErrNotFound].
func (s *Store) Attempt(ctx context.Context, id int64) (Attempt, error) {
	var a Attempt
	found := false
	err := s.rows(ctx, s.db, "SELECT "+attemptColumns+" WHERE a.id = $1", []any{id}, func(r *sql.Rows) error {
		var err error
		a, err = scanAttempt(r)
		found = true
		return err
	})
	if err == nil && !found {
		err = fmt.Errorf("attempt %d: %w", id, ErrNotFound)
	}
	return a, err
}

func scanAttempt(r *sql.Rows) (Attempt, error) {
	var a Attempt
	var seed, us, at int64
	var findings, log string
	var job sql.NullString
	var corrects, regrades sql.NullInt64
	err := r.Scan(&a.ID, &a.Person, &a.Lesson, &a.Program, &seed, &a.Verdict, &a.Points, &us, &a.Course,
		&findings, &job, &corrects, &at, &regrades, &log)
	a.Seed = uint64(seed)
	a.Duration = time.Duration(us) * time.Microsecond
	a.Findings = json.RawMessage(findings)
	a.Job, a.Corrects, a.At, a.Regrades = job.String, corrects.Int64, moment(at), regrades.Int64
	if log != "" {
		a.Log = json.RawMessage(log)
	}
	return a, err
}
