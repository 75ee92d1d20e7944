package xapi

import (
	"bufio"
	"context"
	"io"
	"iter"
	"time"

	"posework/engine/diag"
	"posework/grader/records"
)

// All goes through the statements about the records from since on (the zero time
// for all): attempts, answers, then sign-offs. It ends after an error.
func (m *Maker) All(ctx context.Context, s *records.Store, since time.Time) iter.Seq2[Statement, error] {
	return func(yield func(Statement, error) bool) {
		for a, err := range s.AllAttempts(ctx, records.AttemptFilter{Since: since}) {
			if err != nil {
				yield(Statement{}, err)
				return
			}
			for _, st := range m.Attempt(&a) {
				if !yield(st, nil) {
					return
				}
			}
		}
		for a, err := range s.AllAnswers(ctx, "") {
			if err != nil {
				yield(Statement{}, err)
				return
			}
			if !a.At.Before(since) && !yield(m.Answer(&a), nil) {
				return
			}
		}
		for e, err := range s.AllEntries(ctx, "") {
			if err != nil {
				yield(Statement{}, err)
				return
			}
			if e.At.Before(since) {
				continue
			}
			for _, st := range m.SignOff(&e) {
				if !yield(st, nil) {
					return
				}
			}
		}
	}
}

// Write writes statements as a JSON array, one a line: the body of a request to
// a learning record store. It returns how many they are.
func Write(w io.Writer, statements iter.Seq2[Statement, error]) (int, error) {
	out := bufio.NewWriter(w)
	escaped := diag.Escaped(out)
	n := 0
	out.WriteString("[") // errors of a bufio.Writer stay until Flush
	for s, err := range statements {
		if err != nil {
			return n, err
		}
		b, err := marshal(s)
		if err != nil {
			return n, err
		}
		if n > 0 {
			out.WriteString(",")
		}
		out.WriteString("\n")
		escaped.Write(b)
		n++
	}
	out.WriteString("\n]\n")
	return n, out.Flush()
}
