package room

import (
	"sync/atomic"
	"time"
)

// Visitor is one session of one person.
type Visitor struct {
	Name, Crew, Site, Role string
	// Events gets what the session is to know. It has room for a few; a session
	// that does not take them misses the oldest of a kind, never the newest.
	Events chan Event

	room  *Room
	frame atomic.Pointer[string]

	// Under the room's lock.
	entered  time.Time
	key      time.Time // of the last key
	lesson   string
	doing    string
	since    time.Time // in this lesson
	change   int
	progress time.Time // of the last thing that got them on
}

// NewVisitor returns a visitor who is not in yet.
func NewVisitor(name, crew, site, role string) *Visitor {
	return &Visitor{Name: name, Crew: crew, Site: site, Role: role, Events: make(chan Event, 16)}
}

// Event is what a session is told.
type Event struct {
	Kind EventKind
	From string // who wrote the note
	Text string // of the note
	At   time.Time
}

// EventKind is what an event is about.
type EventKind uint8

// The kinds.
const (
	Noted   EventKind = iota // the instructor has written a note
	Ruled                    // what is open has changed
	Closing                  // the host closes; save everything
)

// tell never blocks: when there is no room the oldest event goes.
func (v *Visitor) tell(e Event) {
	for {
		select {
		case v.Events <- e:
			return
		default:
		}
		select {
		case <-v.Events:
		default:
		}
	}
}

// Key notes that the person pressed a key.
func (v *Visitor) Key(now time.Time) {
	v.room.mu.Lock()
	defer v.room.mu.Unlock()
	if now.Sub(v.key) >= away {
		v.room.changed()
	}
	v.key = now
}

// At notes where the person is. change grows with what they get done there.
func (v *Visitor) At(lesson, doing string, change int) {
	v.room.mu.Lock()
	defer v.room.mu.Unlock()
	if lesson == v.lesson && doing == v.doing && change == v.change {
		return
	}
	now := v.room.Now()
	if lesson != v.lesson {
		v.since = now
		v.progress = now
	}
	if doing == v.doing && change != v.change {
		v.progress = now
	}
	moved := lesson != v.lesson || doing != v.doing
	v.lesson, v.doing, v.change = lesson, doing, change
	if moved {
		v.room.changed()
	}
}

// Show keeps the frame that the person sees now.
func (v *Visitor) Show(frame string) { v.frame.Store(&frame) }

// Frame is what the person sees, as it was sent to them.
func (v *Visitor) Frame() string {
	if f := v.frame.Load(); f != nil {
		return *f
	}
	return ""
}
