package class

import (
	"bufio"
	"encoding/json"
	"io"
	"math"

	"posework/engine/diag"
	"posework/grader/report"
)

// The document of a class as other programs read it. Its names are stable within
// "class/1": names may be added, none is renamed or dropped.
type (
	learnerJSON struct {
		Learner  string  `json:"learner"`
		Crew     string  `json:"crew"`
		OnRoster bool    `json:"onRoster"`
		File     string  `json:"file"` // of the program that counts
		Programs int     `json:"programs"`
		Graded   bool    `json:"graded"`
		Passed   bool    `json:"passed"`
		Points   float64 `json:"points"`
		Needed   float64 `json:"needed"`
		// Mark is the whole mark of the program that counts.
		Mark json.RawMessage `json:"mark"`
	}
	findingJSON struct {
		Code     string `json:"code"`
		Title    string `json:"title"`
		Severity string `json:"severity"`
		Learners int    `json:"learners"`
		Times    int    `json:"times"`
	}
	ungradedJSON struct {
		Learner string `json:"learner"`
		File    string `json:"file"`
		Reason  string `json:"reason"`
	}
)

// JSON writes the sheet for other programs. marks reads the marks of the
// programs that count, in the order of the rows, one a line, as [MarkLine] writes
// them.
func (s *Sheet) JSON(w io.Writer, marks io.Reader) error {
	b := bufio.NewWriter(w)
	lines := bufio.NewReader(marks)
	j := &writerJSON{w: diag.Escaped(b)}
	j.value(`{"posework":`, "class/1")
	j.value(`,"lesson":`, s.Lesson)
	j.value(`,"course":`, s.Course)
	j.text(`,"learners":[`)
	for i := range s.Rows {
		line, err := lines.ReadBytes('\n')
		if err != nil {
			return err
		}
		r := &s.Rows[i]
		j.item(i, learnerJSON{r.Learner, r.Crew, r.Known, r.File, r.Programs, r.Graded, r.Passed, math.Round(r.Points*1e6) / 1e6, r.Needed, line})
	}
	j.text(`],"findings":[`)
	for i, t := range s.Findings {
		j.item(i, findingJSON{t.Code, t.Doc.Title, report.Severity(t.Doc.Severity), len(t.Learners), t.Times})
	}
	j.text(`],"ungraded":[`)
	for i, u := range s.Ungraded {
		j.item(i, ungradedJSON(u))
	}
	j.text(`],"absent":[`)
	for i := range s.Absent {
		j.item(i, s.Absent[i].Name)
	}
	j.text("]}\n")
	if j.err != nil {
		return j.err
	}
	return b.Flush()
}

// MarkLine is a mark in one line.
func MarkLine(d report.Document) ([]byte, error) {
	line, err := json.Marshal(d)
	return append(line, '\n'), err
}

// writerJSON writes pieces until something fails.
type writerJSON struct {
	w   io.Writer
	err error
}

func (j *writerJSON) text(s string) {
	if j.err == nil {
		_, j.err = io.WriteString(j.w, s)
	}
}

func (j *writerJSON) value(before string, v any) {
	data, err := json.Marshal(v)
	if j.err == nil {
		j.err = err
	}
	j.text(before)
	j.text(string(data))
}

// item writes an element of a list, each in a line of its own.
func (j *writerJSON) item(i int, v any) {
	before := "\n"
	if i > 0 {
		before = ",\n"
	}
	j.value(before, v)
}
