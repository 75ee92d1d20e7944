package practice

import "slices"

// EntryKind is what an entry of the log is about.
type EntryKind string

// The kinds of entry.
const (
	SteppedEntry   EntryKind = "step"           // one step was run singly, from its beginning to its end
	RanEntry       EntryKind = "run"            // the program was run by hand from its first step to its last; or a run in automatic mode began
	ReleasedEntry  EntryKind = "release"        // the enabling device was let go in motion
	SqueezedEntry  EntryKind = "squeeze"        // the enabling device was squeezed past its middle in motion
	EmergencyEntry EntryKind = "emergency-stop" // in motion
	GateEntry      EntryKind = "gate"           // the gate was opened in automatic motion
)

// Entry is one thing that was done.
type Entry struct {
	Kind  EntryKind `json:"kind"`
	At    float64   `json:"at"`              // s of practice
	Step  string    `json:"step,omitempty"`  // its label
	Nth   int       `json:"nth,omitempty"`   // which of the executed steps it is, from 1; steps of a routine share labels
	Speed float64   `json:"speed,omitempty"` // greatest speed of any point of arm, tool and held part, mm/s; 0 for a run that did not get from the first step to the last
	Mode  Mode      `json:"mode,omitempty"`  // 0: manual, 1: automatic
	Share float64   `json:"share,omitempty"` // of the programmed speed, in automatic mode; the greatest one of a run that went on after a stop
}

// Log is what was done with one program. When the program is changed, single steps
// stay as far as the steps before the first change go, stops only when all that
// there was before is as it was.
type Log struct {
	Program string  `json:"program"`        // digest of its text
	Cell    string  `json:"cell,omitempty"` // [cell.Cell.ID] of where it was done
	Entries []Entry `json:"entries"`
}

// Log returns a copy of the practice log.
func (c *Controller) Log() Log {
	return Log{Program: c.log.Program, Cell: c.cell.ID, Entries: slices.Clone(c.log.Entries)}
}

func (l *Log) add(e Entry) { l.Entries = append(l.Entries, e) }

// keep makes the log that of a changed program: of single steps those that are
// still done stay, runs go, and so do stops unless the program still has all steps
// that it had.
func (l *Log) keep(digest string, done []bool, all bool) {
	l.Program = digest
	l.Entries = slices.DeleteFunc(l.Entries, func(e Entry) bool {
		switch e.Kind {
		case SteppedEntry:
			return e.Nth > len(done) || !done[e.Nth-1]
		case RanEntry:
			return true
		}
		return !all
	})
}

// note logs a stop by a protective device.
func (c *Controller) note(why reason) {
	kind := map[reason]EntryKind{byGrip: ReleasedEntry, bySqueeze: SqueezedEntry, byEmergency: EmergencyEntry, byGate: GateEntry}[why]
	if kind != "" {
		c.log.add(Entry{Kind: kind, At: c.clock, Speed: c.fastest, Mode: c.mode})
	}
}
