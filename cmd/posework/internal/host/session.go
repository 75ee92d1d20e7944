package host

import (
	"context"
	"errors"
	"fmt"
	"io"
	"sync/atomic"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/ssh"

	"posework/cmd/posework/internal/host/door"
	"posework/cmd/posework/internal/host/room"
	"posework/cmd/posework/internal/paint"
	"posework/cmd/posework/internal/seat"
	"posework/cmd/posework/internal/tui"
	"posework/grader/records"
)

// Why a session ends by itself.
var (
	errIdle = errors.New("nothing was typed for a long time")
	errGone = errors.New("the client has gone")
	errSlow = errors.New("the client takes nothing any more")
)

// session is one session from its beginning to its end.
func (h *Host) session(s ssh.Session) {
	if !h.begin() {
		h.say(s, "This host is closing.")
		return
	}
	defer h.running.Done()
	defer func() {
		if fault := recover(); fault != nil {
			h.Log("a session has failed: %v", fault)
		}
	}()
	name := s.Permissions().Extensions[personExt]
	if name == "" {
		return // nobody has logged in; the library does not let it come so far
	}
	p, err := h.Store.Person(s.Context(), name)
	if err != nil {
		h.say(s, "The records can't be read now: %v", err)
		return
	}
	v := room.NewVisitor(p.Name, p.Crew, p.Site, p.Role)
	if err := h.Room.Enter(v, h.Sessions, h.PerPerson); err != nil {
		h.say(s, "Not now: %v", err)
		return
	}
	defer h.Room.Leave(v)
	if c, ok := s.Context().Value(connKey{}).(*door.Conn); ok {
		if err := c.In(); err != nil {
			return
		}
	}
	ctx, end := context.WithCancelCause(s.Context())
	defer end(nil)
	g := &guest{host: h, session: s, visitor: v, person: p, end: end}
	err = g.run(ctx)
	switch cause := context.Cause(ctx); {
	case err != nil && cause == nil:
		h.Log("the session of %s has ended: %v", p.Name, err)
		h.say(s, "Something went wrong in the course, and this session had to end. All that was saved is kept.")
	case errors.Is(cause, errIdle):
		h.say(s, "Nothing was typed for %v, so the session has ended. All that you did is kept.", h.Idle)
	case g.closing.Load():
		h.say(s, "This host is closing. All that you did is kept.")
	}
}

// say writes a sentence below what the terminal shows.
func (h *Host) say(s ssh.Session, format string, args ...any) {
	o := &output{to: s, stall: h.Stall, cut: func() { s.Close() }}
	_, _ = fmt.Fprintf(o, "posework: "+format+"\r\n", args...)
}

// guest is a session under way.
type guest struct {
	host    *Host
	session ssh.Session
	visitor *room.Visitor
	person  records.Person
	end     context.CancelCauseFunc
	closing atomic.Bool
}

// run shows the guest what they came for, until they leave.
func (g *guest) run(ctx context.Context) error {
	now := g.host.Now
	var last atomic.Int64
	last.Store(now().UnixNano())
	typed := func(t time.Time) {
		last.Store(t.UnixNano())
		g.visitor.Key(t)
	}
	in := &input{newKeys(g.session, typed, now, time.Sleep), g.end}
	out := &output{to: g.session, stall: g.host.Stall, cut: func() { g.end(errSlow); g.session.Close() }}
	go g.watchIdle(ctx, &last)
	st, err := g.seat()
	if err != nil {
		g.host.say(g.session, "Your programs can't be kept now. Tell your instructor.")
		return err
	}
	code, err := g.nextCode(ctx)
	if err != nil {
		g.host.Log("no new code for %s: %v", g.person.Name, err)
	}
	env := environ(g.session.Environ())
	switch pty, _, isTerminal := g.session.Pty(); {
	case !isTerminal:
		return g.prompts(ctx, st, in, out, code, false)
	case pty.Term == "dumb":
		return g.prompts(ctx, st, in, out, code, true)
	}
	theme := tui.NewTheme(env.renderer(), env.utf8())
	app := tui.New(g.host.work, st, theme, "")
	if g.person.Role == records.Instructor {
		app = tui.NewDesk(ctx, st, theme, &room.Instructor{Room: g.host.Room, Name: g.person.Name, Site: g.person.Site})
	}
	v := &visit{app: app, visitor: g.visitor, room: g.host.Room, now: now, done: ctx.Done(), closing: &g.closing}
	l := lineOf(g.session.Context())
	target := paint.Target{In: in, Out: out, Size: l.first, Resized: l.sizes, Pace: &beat{of: &g.host.pace}}
	app.Pace(g.host.pace.apart)
	err = paint.Show(ctx, &welcome{Model: v, code: code, days: codeDays}, target, tea.WithoutSignalHandler())
	// Nothing runs any more but what was begun: the client may be gone, and what it
	// did is kept all the same.
	kept, done := context.WithTimeout(g.host.work, saveTime)
	defer done()
	return errors.Join(err, app.Save(kept))
}

// nextCode makes the next code for somebody who used one up; "" for others.
func (g *guest) nextCode(ctx context.Context) (string, error) {
	if g.session.Permissions().Extensions[codeExt] == "" {
		return "", nil
	}
	return g.host.login.next(ctx, g.person.Name)
}

// seat is the learner's place in the course.
func (g *guest) seat() (*seat.Seat, error) {
	h := g.host
	folder, err := makeFolder(h.Folder, g.person.Name)
	if err != nil {
		return nil, err
	}
	st := &seat.Seat{
		Course: h.Course, Version: h.Version, Person: g.person.Name, Store: h.Store,
		Now: h.Now, Seed: uint64(h.Now().UnixNano()),
		Folder: folder, Graders: h.graders, Grader: h.Grader,
	}
	if g.person.Role != records.Instructor {
		st.Rules = func(lesson string) seat.Rules { return h.Room.Rules(g.person.Site, lesson) }
	}
	return st, nil
}

// watchIdle ends a session in which nothing is typed. Writing does not count: a
// picture that moves keeps nobody in.
func (g *guest) watchIdle(ctx context.Context, last *atomic.Int64) {
	t := time.NewTimer(g.host.Idle)
	defer t.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-t.C:
		}
		left := g.host.Idle - g.host.Now().Sub(time.Unix(0, last.Load()))
		if left <= 0 {
			g.end(errIdle)
			return
		}
		t.Reset(left)
	}
}

// input ends the session when the client sends no more.
type input struct {
	from io.Reader
	end  context.CancelCauseFunc
}

// Read reads what the client sent.
func (i *input) Read(p []byte) (int, error) {
	n, err := i.from.Read(p)
	if err != nil {
		i.end(errGone)
	}
	return n, err
}
