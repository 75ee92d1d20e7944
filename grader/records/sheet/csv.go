package sheet

import (
	"encoding/csv"
	"io"
	"iter"
	"math"
	"strconv"
	"strings"
	"time"

	"posework/grader/records"
)

// CSV writes a mark sheet as RFC 4180 has it: one row a person and lesson, people
// without any attempt included.
func CSV(w io.Writer, rows iter.Seq2[records.Standing, error]) error {
	out := csv.NewWriter(w)
	if err := out.Write([]string{"name", "crew", "site", "lesson", "attempts", "best", "passed", "last"}); err != nil {
		return err
	}
	for r, err := range rows {
		if err != nil {
			return err
		}
		who := []string{Plain(r.Person.Name), Plain(r.Person.Crew), Plain(r.Person.Site)}
		if len(r.Lessons) == 0 {
			if err := out.Write(append(who, "", "0", "", "no", "")); err != nil {
				return err
			}
		}
		for _, l := range r.Lessons {
			if err := out.Write(append(who[:3:3], Plain(l.Lesson), strconv.Itoa(l.Attempts), number(l.Best), yes(l.Passed), stamp(l.Last))); err != nil {
				return err
			}
		}
	}
	out.Flush()
	return out.Error()
}

// Plain keeps a spreadsheet from taking a text for a formula and running it: a
// quote before it, which spreadsheets don't show.
func Plain(s string) string {
	if s != "" && strings.ContainsRune("=+-@\t\r", rune(s[0])) {
		return "'" + s
	}
	return s
}

// number writes points to a tenth, as they are shown everywhere.
func number(f float64) string { return strconv.FormatFloat(tenths(f), 'f', 1, 64) }

// tenths cuts points off after a tenth: rounding must never show a mark as the
// pass mark that it missed.
func tenths(f float64) float64 { return math.Floor(f*10+1e-6) / 10 }

func yes(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}

// stamp writes a time in UTC, as ISO 8601 has it.
func stamp(t time.Time) string { return t.UTC().Format(time.RFC3339) }
