// Package reference gathers what posework can explain: every finding of the
// grader and every error about a file, from the tables that the packages which
// raise them keep. The explain command, the reference page and the screens show
// the same words.
//
// It is pure and safe for concurrent use. [Entries] and [Lookup] are the ways in.
package reference

import (
	"slices"
	"strings"

	"posework/engine/armfile"
	"posework/engine/cell"
	"posework/engine/diag"
	"posework/engine/motion"
	"posework/engine/practice"
	"posework/engine/program"
	"posework/engine/solid"
	"posework/engine/source"
	"posework/engine/urdf"
	"posework/grader"
	"posework/grader/quiz"
	"posework/grader/records/roster"
	"posework/grader/report"
	"posework/lessons"
)

// Group is a kind of entry.
type Group uint8

// The groups, in the order in which they are listed.
const (
	Findings Group = iota // what the grader finds in a motion
	Files                 // what a reader finds wrong with a file
)

// Entry is one code with its explanation.
type Entry struct {
	Code    string
	Group   Group
	Title   string
	Check   string // Findings: the check that raises it
	Weight  string // Findings: stop, fail or advice
	Meaning string
	Why     string // Findings
	Try     string // Findings
	Unsafe  string // an example that raises it
	Safe    string // the same, mended
}

// fileCodes are the tables of the packages that read files.
func fileCodes() []diag.Code {
	return slices.Concat(source.Codes, solid.Codes, program.Codes, cell.Codes, armfile.Codes, urdf.Codes, motion.Codes, practice.Codes, grader.TaskCodes, quiz.Codes, roster.Codes, lessons.Codes)
}

// Entries returns all entries: findings by code, then errors about files by
// code.
func Entries() []Entry {
	var all []Entry
	for _, c := range grader.Codes() {
		all = append(all, Entry{
			Code: c.Code, Group: Findings, Title: c.Title, Check: c.Check, Weight: report.Severity(c.Severity),
			Meaning: c.Meaning, Why: c.Why, Try: c.Try, Unsafe: c.Unsafe, Safe: c.Safe,
		})
	}
	for _, c := range fileCodes() {
		all = append(all, Entry{Code: c.ID, Group: Files, Title: c.Title, Meaning: c.Meaning, Unsafe: c.Bad, Safe: c.Good})
	}
	slices.SortStableFunc(all, func(a, b Entry) int {
		if a.Group != b.Group {
			return int(a.Group) - int(b.Group)
		}
		return strings.Compare(a.Code, b.Code)
	})
	return all
}

// Lookup returns the entry of a code, written in any case and with - or _. When
// there is none, it returns the code that was most likely meant, if any.
func Lookup(code string) (e Entry, nearest string, ok bool) {
	fold := func(s string) string { return strings.ToUpper(strings.ReplaceAll(s, "-", "_")) }
	all := Entries()
	codes := make([]string, len(all))
	for i, e := range all {
		if codes[i] = e.Code; fold(code) == e.Code {
			return e, "", true
		}
	}
	return Entry{}, diag.Nearest(code, codes), false
}
