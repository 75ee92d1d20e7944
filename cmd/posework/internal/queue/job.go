package queue

import (
	"bytes"
	"encoding/gob"
	"encoding/json"
	"fmt"
	"strings"
	"time"

	"posework/cmd/posework/internal/marking"
	"posework/engine/diag"
	"posework/engine/practice"
	"posework/grader"
	"posework/grader/records"
	"posework/grader/report"
)

// kind names the jobs of this package among those of a queue.
const kind = "grade"

// args is a job as the queue keeps it.
type args struct {
	Key      string    `json:"key" river:"unique"`
	Build    string    `json:"build" river:"unique"` // of the program that is to grade it
	Learner  string    `json:"learner"`
	Fold     string    `json:"fold"` // the learner's name without differences of case
	Lesson   string    `json:"lesson"`
	File     string    `json:"file"`
	Text     []byte    `json:"text"`
	Log      []byte    `json:"log,omitempty"` // JSON; as bytes, since jsonb takes no NUL, which a label may hold
	Course   string    `json:"course"`
	At       time.Time `json:"at"`
	Keep     bool      `json:"keep"`
	Regrades int64     `json:"regrades,omitempty"`
	Corrects int64     `json:"corrects,omitempty"`
	Seeded   bool      `json:"seeded,omitempty"`
	Seed     uint64    `json:"seed,string"`
}

// Kind is asked for by the queue.
func (args) Kind() string { return kind }

func argsOf(j *marking.Job, build string) (args, error) {
	fold := j.Learner
	if name, err := records.Name(fold); err == nil { // otherwise nothing of it is recorded
		fold = records.Fold(name)
	}
	a := args{
		Key: j.Key, Build: build, Learner: j.Learner, Fold: fold, Lesson: j.Lesson, File: strings.ReplaceAll(j.File, "\x00", ""), Text: j.Text,
		Course: j.Course, At: j.At, Keep: j.Keep, Regrades: j.Regrades, Corrects: j.Corrects, Seeded: j.Seeded, Seed: j.Seed,
	}
	if j.Log == nil {
		return a, nil
	}
	var err error
	a.Log, err = json.Marshal(j.Log)
	return a, err
}

func (a *args) job() (marking.Job, error) {
	j := marking.Job{
		Key: a.Key, Learner: a.Learner, Lesson: a.Lesson, File: a.File, Text: a.Text,
		Course: a.Course, At: a.At, Keep: a.Keep, Regrades: a.Regrades, Corrects: a.Corrects, Seeded: a.Seeded, Seed: a.Seed,
	}
	if len(a.Log) == 0 {
		return j, nil
	}
	j.Log = &practice.Log{}
	if err := json.Unmarshal(a.Log, j.Log); err != nil {
		return j, fmt.Errorf("read a practice log from the queue: %w", err)
	}
	return j, nil
}

// output is a result as the queue keeps it, without the job. It is not written
// as JSON, which has no infinity: the measured value of an unfinished
// examination.
type output struct {
	Seed    uint64
	Own     []report.Own
	Mark    *grader.Mark
	Errors  diag.List
	Trouble string
	Attempt int64
}

func encode(r *marking.Result) ([]byte, error) {
	var b bytes.Buffer
	err := gob.NewEncoder(&b).Encode(output{r.Seed, r.Own, r.Mark, r.Errors, r.Trouble, r.Attempt})
	return b.Bytes(), err
}

// decode reads the JSON text that the queue keeps of what encode wrote.
func decode(j marking.Job, text []byte) (marking.Result, error) {
	var data []byte
	var o output
	if err := json.Unmarshal(text, &data); err != nil {
		return marking.Result{Job: j}, fmt.Errorf("read a result from the queue: %w", err)
	}
	if err := gob.NewDecoder(bytes.NewReader(data)).Decode(&o); err != nil {
		return marking.Result{Job: j}, fmt.Errorf("read a result from the queue: %w", err)
	}
	return marking.Result{Job: j, Seed: o.Seed, Own: o.Own, Mark: o.Mark, Errors: o.Errors, Trouble: o.Trouble, Attempt: o.Attempt}, nil
}
