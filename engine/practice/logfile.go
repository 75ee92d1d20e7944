package practice

import (
	"fmt"
	"math"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"posework/engine/diag"
	"posework/engine/program"
	"posework/engine/source"
)

// Codes holds the kinds of diagnostic that this package raises, by ID.
var Codes = []diag.Code{
	{
		ID: "L001", Title: "log of no program",
		Meaning: "A practice log belongs to one text of one program. It names it by its digest, the SHA-256 in 64 hexadecimal digits, so that a log never proves another text.",
		Bad:     "program: pick.yaml", Good: "program: 9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08",
	},
	{
		ID: "L002", Title: "entry that can't be",
		Meaning: "Times and speeds are not negative, shares are at most 100 %, a step has a label, and what was done later stands later.",
		Bad:     `- {kind: step, at: -1 s, nth: 3, step: "3", speed: 40 mm/s, mode: manual}`, Good: `- {kind: step, at: 12 s, nth: 3, step: "3", speed: 40 mm/s, mode: manual}`,
	},
}

var (
	entryKinds = []string{string(SteppedEntry), string(RanEntry), string(ReleasedEntry), string(SqueezedEntry), string(EmergencyEntry), string(GateEntry)}
	modes      = []string{Manual.String(), Automatic.String()}
	digestText = regexp.MustCompile(`^[0-9a-f]{64}$`)
)

// ReadLog reads a log file. The log is sound only when nothing is reported.
//
//	posework: log/1
//	program: 9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08
//	cell: prove-it
//	entries:
//	  - {kind: step, at: 4.2 s, nth: 1, step: "1", speed: 48.1 mm/s, mode: manual}
//	  - {kind: run, at: 96 s, speed: 201.4 mm/s, mode: automatic, share: 25 %}
func ReadLog(name string, data []byte) (*Log, diag.List) {
	var l diag.List
	log := &Log{}
	root := source.Parse(name, data, 1, &l)
	if root == nil {
		return log, l
	}
	m := root.Map()
	m.Format("log/1")
	program := m.Need("program")
	log.Program = program.Str()
	program.Check(digestText.MatchString(log.Program), "L001", "let the bench write the log", "program is %q, but must be the digest of a program's text", log.Program)
	if n := m.Get("cell"); n != nil {
		log.Cell = n.Str()
	}
	before := 0.0
	for _, n := range m.Need("entries").List() {
		e := readEntry(n)
		n.Check(e.At >= before || e.At < 0, "L002", "put the entries in the order of their times", "this was done at %g s, but stands after what was done at %g s", e.At, before)
		before = math.Max(before, e.At)
		log.Entries = append(log.Entries, e)
	}
	m.Close()
	l.Sort()
	return log, l
}

func readEntry(n *source.Node) Entry {
	var e Entry
	m := n.Map()
	if i := m.Need("kind").OneOf(entryKinds...); i >= 0 {
		e.Kind = EntryKind(entryKinds[i])
	}
	at, speed := m.Need("at"), m.Need("speed")
	e.At, e.Speed = at.Seconds(), speed.MMS()
	at.Check(e.At >= 0, "L002", "write 0 or more", "at is negative")
	speed.Check(e.Speed >= 0, "L002", "write 0 or more", "speed is negative")
	if i := m.Need("mode").OneOf(modes...); i >= 0 {
		e.Mode = Mode(i)
	}
	if e.Kind == SteppedEntry {
		step := m.Need("step")
		e.Step = step.Str()
		step.Check(e.Step != "", "L002", "write its label", "the step has no label")
		e.Nth = m.Need("nth").Int(1, program.MaxSteps)
	}
	if share := m.Get("share"); share != nil {
		v, _ := share.Quantity("%")
		e.Share = v / 100
		share.Check(v > 0 && v <= 100, "L002", "write more than 0 %, at most 100 %", "share is %g %%", v)
	}
	m.Close()
	return e
}

// LogFile returns the name of the log that lies beside a program file:
// "pick.log.yaml" for "pick.yaml".
func LogFile(program string) string {
	return strings.TrimSuffix(program, filepath.Ext(program)) + logEnding
}

const logEnding = ".log.yaml"

// CutLogFile returns the name of a file without the ending of a practice log, and
// whether it has that.
func CutLogFile(file string) (stem string, ok bool) { return strings.CutSuffix(file, logEnding) }

// Of reports whether both logs are of the same text of a program in the same
// cell.
func (l *Log) Of(o *Log) bool { return l.Program == o.Program && l.Cell == o.Cell }

// Then returns a log with the entries of a later one, of the same program in the
// same cell, after its own.
func (l *Log) Then(later *Log) *Log {
	both := &Log{Program: l.Program, Cell: l.Cell, Entries: slices.Concat(l.Entries, later.Entries)}
	n := len(l.Entries)
	if n == 0 {
		return both
	}
	for i := range both.Entries[n:] {
		both.Entries[n+i].At += l.Entries[n-1].At
	}
	return both
}

// Text returns the log as a file for [ReadLog]. Times and speeds are written to
// a thousandth, speeds never below what was measured.
func (l *Log) Text() []byte {
	b := fmt.Appendf(nil, "posework: log/1\nprogram: %s\n", l.Program)
	if l.Cell != "" {
		b = fmt.Appendf(b, "cell: %q\n", l.Cell)
	}
	b = append(b, "entries:"...)
	if len(l.Entries) == 0 {
		return append(b, " []\n"...)
	}
	b = append(b, '\n')
	for i := range l.Entries {
		e := &l.Entries[i]
		b = fmt.Appendf(b, "  - {kind: %s, at: %s s", e.Kind, thousandths(math.Round(e.At*1000)))
		if e.Kind == SteppedEntry {
			b = fmt.Appendf(b, ", nth: %d, step: %q", e.Nth, e.Step)
		}
		// A speed at a limit that rounding has put a hair above it is at the limit.
		b = fmt.Appendf(b, ", speed: %s mm/s, mode: %s", thousandths(math.Ceil(e.Speed*1000-1e-6)), e.Mode)
		if e.Share > 0 {
			b = fmt.Appendf(b, ", share: %s %%", strconv.FormatFloat(math.Round(e.Share*1e5)/1e3, 'g', -1, 64))
		}
		b = append(b, "}\n"...)
	}
	return b
}

func thousandths(n float64) string { return strconv.FormatFloat(n/1000+0, 'f', -1, 64) }
