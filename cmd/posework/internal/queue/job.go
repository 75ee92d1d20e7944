package queue

import (
	"bytes"
	"encoding/gob"
	"encoding/json"
	"fmt"
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
	Key      string        `json:"key" river:"unique"`
	Build    string        `json:"build" river:"unique"` // of the program that is to grade it
	Learner  string        `json:"learner"`
	Fold     string        `json:"fold"` // the learner's name without differences of case
	Lesson   string        `json:"lesson"`
	File     string        `json:"file"`
	Text     []byte        `json:"text"`
	Log      *practice.Log `json:"log,omitempty"`
	Course   string        `json:"course"`
	At       time.Time     `json:"at"`
	Keep     bool          `json:"keep"`
	Regrades int64         `json:"regrades,omitempty"`
	Corrects int64         `json:"corrects,omitempty"`
	Seeded   bool          `json:"seeded,omitempty"`
	Seed     uint64        `json:"seed,string"`
}

// Kind is asked for by the queue.
func (args) Kind() string { return kind }

func argsOf(j *marking.Job, build string) args {
	fold := j.Learner
	if name, err := records.Name(fold); err == nil { // otherwise nothing of it is recorded
		fold = records.Fold(name)
	}
	return args{
		Key: j.Key, Build: build, Learner: j.Learner, Fold: fold, Lesson: j.Lesson, File: j.File, Text: j.Text, Log: j.Log,
		Course: j.Course, At: j.At, Keep: j.Keep, Regrades: j.Regrades, Corrects: j.Corrects, Seeded: j.Seeded, Seed: j.Seed,
	}
}

func (a *args) job() marking.Job {
	return marking.Job{
		Key: a.Key, Learner: a.Learner, Lesson: a.Lesson, File: a.File, Text: a.Text, Log: a.Log,
		Course: a.Course, At: a.At, Keep: a.Keep, Regrades: a.Regrades, Corrects: a.Corrects, Seeded: a.Seeded, Seed: a.Seed,
	}
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
