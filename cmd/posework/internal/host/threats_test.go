package host

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"net"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	gossh "golang.org/x/crypto/ssh"

	"posework/cmd/posework/internal/host/door"
	"posework/grader/records"
)

// The tests in this file are those that the list "Threats to a host" in
// DEVELOPERS.md names.

func TestUnknownKey(t *testing.T) {
	h := serve(t, nil)
	old := h.person("Ines Calloway", records.Learner)
	now := h.person("Ines Calloway", records.Learner) // a new key: the old one lets nobody in
	for name, auth := range map[string][]gossh.AuthMethod{
		"a stranger's key":   {gossh.PublicKeys(newKey(t))},
		"a key taken back":   {gossh.PublicKeys(old)},
		"no way in at all":   nil,
		"a password":         {gossh.Password("secret")},
		"what is no code":    {typing("secret", "'; DROP TABLE person; --", "")},
		"a code of nobody":   {typing("0000-0000-0000")},
		"a key not owned":    {gossh.PublicKeys(liar{newKey(t), now.PublicKey()})},
		"an empty signature": {gossh.PublicKeys(liar{nil, now.PublicKey()})},
	} {
		if _, err := h.dial(auth...); err == nil {
			t.Errorf("%s lets somebody in", name)
		}
	}
	h.terminal(80, 24, gossh.PublicKeys(now)).sees(t, "Ines Calloway")
}

// liar offers somebody else's public key.
type liar struct {
	own    gossh.Signer
	public gossh.PublicKey
}

func (l liar) PublicKey() gossh.PublicKey { return l.public }

func (l liar) Sign(rand io.Reader, data []byte) (*gossh.Signature, error) {
	if l.own == nil {
		return &gossh.Signature{Format: l.public.Type()}, nil
	}
	return l.own.Sign(rand, data)
}

// asking offers a key and then does not use it.
type asking struct{ liar }

func (a asking) Sign(io.Reader, []byte) (*gossh.Signature, error) {
	return nil, errors.New("not this time")
}

// Who asks about an instructor's key and then comes in by their own way is
// themselves.
func TestKeyThatWasOnlyAskedAbout(t *testing.T) {
	h := serve(t, nil)
	boss := h.person("Tom Ashdown", records.Instructor)
	h.person("Ines Calloway", records.Learner)
	c := h.terminal(80, 24, gossh.PublicKeys(asking{liar{nil, boss.PublicKey()}}), typing(h.code("Ines Calloway")))
	c.sees(t, "Your code is used up")
	c.press(enter)
	c.sees(t, "Ines Calloway")
	if strings.Contains(c.text(), "Tom Ashdown") {
		t.Errorf("a learner is taken for the instructor:\n%s", c.text())
	}
}

func TestReplayedCode(t *testing.T) {
	h := serve(t, nil)
	h.person("Ines Calloway", records.Learner)
	void := h.code("Ines Calloway")
	code := h.code("Ines Calloway")
	if _, err := h.dial(typing(void)); err == nil {
		t.Error("a code lets in that a newer one has replaced")
	}
	// At the same moment, and one after the other.
	var wg sync.WaitGroup
	var in sync.Map
	for i := range 6 {
		wg.Go(func() {
			if _, err := h.dial(typing(code)); err == nil {
				in.Store(i, true)
			}
		})
	}
	wg.Wait()
	n := 0
	in.Range(func(any, any) bool { n++; return true })
	if n != 1 {
		t.Errorf("one code let %d in at the same moment", n)
	}
	if _, err := h.dial(typing(code)); err == nil {
		t.Error("a code lets in a second time")
	}
}

func TestCodesAreNotGuessed(t *testing.T) {
	h := serve(t, nil)
	h.person("Ines Calloway", records.Learner)
	now := time.Now()
	h.login.tries = &door.Tries{PerPlace: 5, All: 100, Span: time.Minute, Now: func() time.Time { return now }}
	for range 3 {
		if _, err := h.dial(typing("0000-0000-0000", "1111-1111-1111", "2222-2222-2222")); err == nil {
			t.Fatal("a guess lets in")
		}
	}
	code := h.code("Ines Calloway")
	if _, err := h.dial(typing(code)); err == nil {
		t.Error("after too many wrong codes the next is tried all the same")
	}
	now = now.Add(time.Minute)
	if _, err := h.dial(typing(code)); err != nil {
		t.Errorf("when the time is over: %v", err)
	}
}

// Only the people on the roster come in where one is given.
func TestOnlyTheRoster(t *testing.T) {
	h := serve(t, func(o *Options) { o.Roster = []string{"ines CALLOWAY"} })
	ines, other := h.person("Ines Calloway", records.Learner), h.person("Zoë Marsh", records.Learner)
	if _, err := h.dial(gossh.PublicKeys(other)); err == nil {
		t.Error("a key of somebody who is not on the roster lets in")
	}
	code := h.code("Zoë Marsh")
	if _, err := h.dial(typing(code)); err == nil {
		t.Error("a code of somebody who is not on the roster lets in")
	}
	if _, err := h.dial(gossh.PublicKeys(ines)); err != nil {
		t.Errorf("somebody on the roster is not let in: %v", err)
	}
}

func TestPathTricksInNames(t *testing.T) {
	below := t.TempDir()
	seen := map[string]string{}
	for _, name := range []string{
		"..", ".", "/", "../../etc", "a/b", `a\b`, "C:", "con", "-rf", "~", "~root", "a\x00b", "Ines Calloway", "ines-calloway",
		"Ines  Calloway.", strings.Repeat("ü", 100), strings.Repeat("a", 100), "💥", "\u202eseni",
	} {
		dir, err := makeFolder(below, name)
		if err != nil {
			t.Errorf("makeFolder(%q): %v", name, err)
			continue
		}
		rel, err := filepath.Rel(below, dir)
		if err != nil || !filepath.IsLocal(rel) || strings.ContainsAny(rel, `/\:.~ `) || strings.HasPrefix(rel, "-") || len(rel) > 64 {
			t.Errorf("the folder of %q is %q", name, rel)
		}
		if other, twice := seen[rel]; twice {
			t.Errorf("%q and %q have one folder", name, other)
		}
		seen[rel] = name
		if info, err := os.Stat(dir); err != nil || info.Mode().Perm() != 0o700 {
			t.Errorf("the folder of %q: %v, %v", name, info.Mode(), err)
		}
	}
	if a, b := folderOf("Ines Calloway"), folderOf("INES CALLOWAY"); a != b {
		t.Errorf("one person has the folders %s and %s", a, b)
	}
	// A link in the place of a folder is not followed.
	if err := os.Symlink(t.TempDir(), filepath.Join(below, folderOf("Zoë Marsh"))); err != nil {
		t.Fatal(err)
	}
	if dir, err := makeFolder(below, "Zoë Marsh"); err == nil {
		t.Errorf("the folder is a link, %s", dir)
	}
}

// A learner is nowhere asked for a path, and what they type makes none.
func TestNoPathIsTyped(t *testing.T) {
	h := serve(t, nil)
	secret := filepath.Join(t.TempDir(), "secret.yaml")
	if err := os.WriteFile(secret, []byte("posework: program/1\ntitle: hidden away\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	c := h.terminal(100, 30, gossh.PublicKeys(h.person("Ines Calloway", records.Learner)))
	c.sees(t, "Walk round the soap cell")
	c.press("home pose", enter)
	c.sees(t, "h hand in")
	c.press("h")
	c.sees(t, "there is no program of this lesson yet")
	c.press("p")
	c.sees(t, "device released")
	c.press("r")
	c.sees(t, "Record")
	c.press("\x15", "../../../x", enter)
	c.sees(t, "hold device")
	c.press(esc)
	c.sees(t, "h hand in")
	c.press("h")
	c.sees(t, "there is no program of this lesson yet")
	c.press("p")
	c.sees(t, "device released")
	c.press("r")
	c.sees(t, "Record")
	c.press(enter)
	c.sees(t, "saved")
	c.press(esc)
	c.sees(t, "h hand in")
	c.press("h")
	c.sees(t, "NOT GRADED")
	for _, typed := range []string{"\x15", secret, "\t", enter} {
		c.press(typed)
	}
	time.Sleep(100 * time.Millisecond)
	if text := c.text(); strings.Contains(text, "hidden away") || strings.Contains(text, secret) || strings.Contains(text, "Path:") {
		t.Errorf("a path was taken:\n%s", text)
	}
	// At the prompts neither.
	p := h.prompts(gossh.PublicKeys(h.person("Zoë Marsh", records.Learner)))
	p.says(t, "Number of a lesson")
	p.types("11", "h", secret, "p", secret, "b")
	p.says(t, "There is no program of this lesson yet")
	p.says(t, "Bench: a command")
	if text := p.text(); strings.Contains(text, "hidden away") || strings.Contains(text, "Path of") {
		t.Errorf("a path was taken:\n%s", text)
	}
	files := 0
	err := filepath.WalkDir(filepath.Dir(h.Folder), func(name string, d os.DirEntry, err error) error {
		if err == nil && strings.HasSuffix(name, ".yaml") {
			files++
			if !strings.HasPrefix(name, h.Folder+string(filepath.Separator)) {
				t.Errorf("%s was written", name)
			}
		}
		return err
	})
	if err != nil || files > 2 {
		t.Errorf("%d programs, %v", files, err)
	}
}

func TestEscapeSequencesInNamesAndFiles(t *testing.T) {
	h := serve(t, nil)
	for _, name := range []string{"Ines\x1b[2J", "Ines\x07", "Ines\u009b2J", "Ines\u202eyawollaC", "Ines\u2066"} {
		if err := h.Store.AddPerson(t.Context(), records.Person{Name: name, At: time.Now()}); err == nil {
			t.Errorf("the name %q is kept", name)
		}
	}
	key := h.person("Ines Calloway", records.Learner)
	dir, err := makeFolder(h.Folder, "Ines Calloway")
	if err != nil {
		t.Fatal(err)
	}
	hostile := "posework: program/1\ntitle: \"a\\e]0;owned\\a\\e[2J\\x9b31m\"\n# \x1b[2J\nposes:\n  \"\\e[2J\": {axes: [0, 0, 0, 0, 0, 0]}\nsteps: []\n"
	if err := os.WriteFile(filepath.Join(dir, "home-pose.yaml"), []byte(hostile), 0o600); err != nil {
		t.Fatal(err)
	}
	c := h.terminal(100, 30, gossh.PublicKeys(key))
	c.sees(t, "Walk round the soap cell")
	c.press("home pose", enter)
	c.sees(t, "h hand in")
	c.press("p")
	c.sees(t, "The program file")
	c.sees(t, "home-pose.yaml:")
	c.press(esc)
	c.sees(t, "h hand in")
	c.press("h")
	c.sees(t, "NOT GRADED")
	c.mu.Lock()
	defer c.mu.Unlock()
	if len(c.strange) > 0 {
		t.Errorf("the terminal is sent %v", c.strange)
	}
}

// What is typed too fast or is too long costs the host nothing.
func TestGiantInputs(t *testing.T) {
	h := serve(t, nil)
	other := h.terminal(80, 24, gossh.PublicKeys(h.person("Zoë Marsh", records.Learner)))
	other.sees(t, "Zoë Marsh")
	for name, flood := range map[string]string{
		"keys":             strings.Repeat("x", 1<<16),
		"an endless paste": "\x1b[200~" + strings.Repeat("x", 1<<20),
		"a giant sequence": "\x1b[" + strings.Repeat("1;", 1<<19),
		"bytes of no text": strings.Repeat("\xff\xfe\x00\x1b", 1<<18),
	} {
		t.Run(name, func(t *testing.T) {
			c := h.terminal(80, 24, gossh.PublicKeys(h.person("Flood "+name, records.Learner)))
			c.sees(t, "Flood")
			before := memory().used
			sent := make(chan struct{})
			go func() {
				defer close(sent)
				_, _ = io.WriteString(c.keys, flood) // it may never get rid of all of it
			}()
			time.Sleep(300 * time.Millisecond)
			if grown := memory().used - before; grown > 32<<20 {
				t.Errorf("the host has grown by %.0f MB", grown/1e6)
			}
			other.press(down, down)
			other.press("zz")
			other.sees(t, "zz")
			other.press("\x7f\x7f")
			c.session.Close()
			<-sent
		})
	}
	// What a client says of itself is bounded too.
	conn, err := h.dial(gossh.PublicKeys(h.person("Ines Calloway", records.Learner)))
	if err != nil {
		t.Fatal(err)
	}
	s, err := conn.NewSession()
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Setenv("LANG", strings.Repeat("x", 1<<16)); err == nil {
		t.Error("a giant variable is taken")
	}
	if err := s.Setenv("LD_PRELOAD", "x"); err == nil {
		t.Error("a variable is taken that says nothing of the terminal")
	}
	taken := 0
	for range 100 {
		if s.Setenv("LANG", "C") == nil {
			taken++
		}
	}
	if taken != mostEnv {
		t.Errorf("%d variables are taken, want %d", taken, mostEnv)
	}
	if err := s.RequestPty(strings.Repeat("x", 1<<12), 24, 80, nil); err == nil {
		t.Error("a giant name of a terminal is taken")
	}
}

// A client that takes nothing is cut, and one that logs in slowly too.
func TestSlowClients(t *testing.T) {
	h := serve(t, func(o *Options) {
		o.Stall = 300 * time.Millisecond
		o.Limits = door.Limits{Waiting: 10, PerPlace: 10, Handshake: 300 * time.Millisecond, Login: 700 * time.Millisecond}
	})
	key := h.person("Ines Calloway", records.Learner)
	t.Run("before a word", func(t *testing.T) { wantCut(t, h.addr, nil) })
	t.Run("in the middle of a word", func(t *testing.T) { wantCut(t, h.addr, []byte("SSH-2.0-slow\r\n\x00\x00")) })
	t.Run("while a code is asked for", func(t *testing.T) {
		began := time.Now()
		_, err := h.dial(gossh.KeyboardInteractive(func(_, _ string, questions []string, _ []bool) ([]string, error) {
			time.Sleep(patience / 10)
			return make([]string, len(questions)), nil
		}))
		if err == nil || time.Since(began) > patience/2 {
			t.Errorf("after %v: %v", time.Since(began), err)
		}
	})
	t.Run("without a session", func(t *testing.T) {
		c, err := h.dial(gossh.PublicKeys(key))
		if err != nil {
			t.Fatal(err)
		}
		gone := make(chan error, 1)
		go func() { gone <- c.Wait() }()
		select {
		case <-gone:
		case <-time.After(patience):
			t.Error("a connection without a session stays")
		}
	})
	t.Run("that takes nothing", func(t *testing.T) {
		c, err := h.dial(gossh.PublicKeys(key))
		if err != nil {
			t.Fatal(err)
		}
		ch, reqs, err := c.OpenChannel("session", nil)
		if err != nil {
			t.Fatal(err)
		}
		go gossh.DiscardRequests(reqs)
		pty := gossh.Marshal(&struct {
			Term       string
			C, R, W, H uint32
			Modes      string
		}{"xterm", 400, 150, 0, 0, ""})
		for _, r := range []struct {
			name string
			data []byte
		}{{"pty-req", pty}, {"shell", nil}} {
			if ok, err := ch.SendRequest(r.name, true, r.data); !ok || err != nil {
				t.Fatal(r.name, ok, err)
			}
		}
		left(t, h, 1)
		// Nobody reads: what may be sent without being taken is used up by and by,
		// since every new size is a new frame.
		var cols uint32
		for end := time.Now().Add(patience); time.Now().Before(end) && h.Room.Sessions() > 0; cols++ {
			size := gossh.Marshal(&struct{ C, R, W, H uint32 }{300 + cols%2, 150, 0, 0})
			if _, err := ch.SendRequest("window-change", false, size); err != nil {
				break
			}
			time.Sleep(time.Millisecond)
		}
		left(t, h, 0)
	})
}

// left waits until so many sessions are left.
func left(t testing.TB, h *running, n int) {
	t.Helper()
	for end := time.Now().Add(patience); time.Now().Before(end); time.Sleep(5 * time.Millisecond) {
		if h.Room.Sessions() == n {
			return
		}
	}
	t.Errorf("%d sessions are left, want %d", h.Room.Sessions(), n)
}

// wantCut connects, sends something and waits to be cut.
func wantCut(t *testing.T, addr string, send []byte) {
	t.Helper()
	c, err := net.Dial("tcp", addr)
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	_, _ = c.Write(send)
	_ = c.SetReadDeadline(time.Now().Add(patience))
	if _, err := io.Copy(io.Discard, c); err != nil && errors.Is(err, os.ErrDeadlineExceeded) {
		t.Error("the connection stays")
	}
}

// Somebody who opens connections without end keeps nobody else out.
func TestFloodOfConnections(t *testing.T) {
	h := serve(t, func(o *Options) {
		o.Limits.Waiting, o.Limits.PerPlace, o.Limits.Handshake, o.Limits.Login = 100, 20, time.Minute, time.Minute
	})
	key := h.person("Ines Calloway", records.Learner)
	in := h.terminal(80, 24, gossh.PublicKeys(key))
	in.sees(t, "Ines Calloway")
	_, port, _ := net.SplitHostPort(h.addr)
	hostile := net.Dialer{LocalAddr: &net.TCPAddr{IP: net.IPv4(127, 0, 0, 66)}}
	var cut atomic.Int64
	for i := range 200 {
		c, err := hostile.Dial("tcp", net.JoinHostPort("127.0.0.1", port))
		if err != nil {
			t.Skipf("this system has one loopback address: %v", err)
		}
		t.Cleanup(func() { c.Close() })
		if i%2 == 0 {
			_, _ = io.WriteString(c, "SSH-2.0-flood\r\n")
		}
		go func() {
			_, _ = io.Copy(io.Discard, c)
			cut.Add(1)
		}()
	}
	in.press("jog")
	in.sees(t, "Find: jog")
	h.terminal(80, 24, gossh.PublicKeys(key)).sees(t, "Ines Calloway")
	for end := time.Now().Add(patience); cut.Load() < 180 && time.Now().Before(end); time.Sleep(5 * time.Millisecond) {
	}
	if n := cut.Load(); n != 180 {
		t.Errorf("of 200 connections %d are cut, want all but the 20 that one place may have", n)
	}
}

func TestNothingButASession(t *testing.T) {
	h := serve(t, nil)
	key := h.person("Ines Calloway", records.Learner)
	conn, err := h.dial(gossh.PublicKeys(key))
	if err != nil {
		t.Fatal(err)
	}
	for name, payload := range map[string][]byte{
		"direct-tcpip": gossh.Marshal(&struct {
			A string
			P uint32
			O string
			Q uint32
		}{"127.0.0.1", 22, "127.0.0.1", 9}),
		"direct-streamlocal@openssh.com": gossh.Marshal(&struct {
			A, B string
			C    uint32
		}{"/run/x", "", 0}),
		"forwarded-tcpip":        nil,
		"x11":                    nil,
		"auth-agent@openssh.com": nil,
		"tun@openssh.com":        nil,
	} {
		if ch, _, err := conn.OpenChannel(name, payload); err == nil {
			t.Errorf("a channel %s is opened", name)
			ch.Close()
		}
	}
	for _, name := range []string{"tcpip-forward", "streamlocal-forward@openssh.com", "cancel-tcpip-forward"} {
		if ok, _, err := conn.SendRequest(name, true, gossh.Marshal(&struct {
			A string
			P uint32
		}{"", 0})); ok || err != nil {
			t.Errorf("the request %s is granted: %v, %v", name, ok, err)
		}
	}
	s, err := conn.NewSession()
	if err != nil {
		t.Fatal(err)
	}
	word := gossh.Marshal(&struct{ W string }{"/bin/sh"})
	for _, name := range []string{"exec", "subsystem", "auth-agent-req@openssh.com", "x11-req", "signal", "break", "eow@openssh.com", "xon-xoff"} {
		if ok, err := s.SendRequest(name, true, word); ok || err != nil {
			t.Errorf("the request %s is granted: %v, %v", name, ok, err)
		}
	}
	if out, err := s.Output("id"); err == nil || len(out) > 0 {
		t.Errorf("a command was run: %s, %v", out, err)
	}
	if _, err := conn.NewSession(); err == nil {
		t.Error("a connection has a second session")
	}
	// A shell is the course, whatever comes with the request.
	conn2, err := h.dial(gossh.PublicKeys(key))
	if err != nil {
		t.Fatal(err)
	}
	c := h.sessionOf(conn2, 80, 24)
	c.sees(t, "Ines Calloway")
	for _, name := range []string{"exec", "shell", "subsystem", "pty-req", "env"} {
		if ok, _ := c.session.SendRequest(name, true, word); ok {
			t.Errorf("in a session the request %s is granted", name)
		}
	}
}

// What one learner does no other one sees.
func TestOthersRecords(t *testing.T) {
	h := serve(t, nil)
	ines := h.terminal(120, 40, gossh.PublicKeys(h.person("Ines Calloway", records.Learner)))
	zoe := h.terminal(120, 40, gossh.PublicKeys(h.person("Zoë Marsh", records.Learner)))
	for _, c := range []*client{ines, zoe} {
		c.sees(t, "0 of 22 lessons passed")
		c.press("home pose", enter)
		c.sees(t, "h hand in")
	}
	ines.press("p")
	ines.sees(t, "device released")
	ines.press("r")
	ines.sees(t, "Record")
	ines.press("\x15", "mine", enter)
	ines.sees(t, "saved")
	ines.press(esc)
	ines.sees(t, "h hand in")
	ines.press("h")
	ines.sees(t, "NOT GRADED")
	zoe.press("h")
	zoe.sees(t, "there is no program of this lesson yet")
	zoe.press("p")
	zoe.sees(t, "device released")
	if strings.Contains(zoe.text(), "mine") {
		t.Errorf("another's pose is seen:\n%s", zoe.text())
	}
	for who, want := range map[string]int{"Ines Calloway": 1, "Zoë Marsh": 0} {
		got, err := h.Store.Attempts(t.Context(), records.AttemptFilter{Person: who}, records.Page{})
		if err != nil || len(got) != want {
			t.Errorf("%s has %d attempts, %v; want %d", who, len(got), err, want)
		}
	}
	// The name that a client gives is of no account.
	if a, b := folderOf("Ines Calloway"), folderOf("Zoë Marsh"); a == b {
		t.Error("two learners have one folder")
	}
}

func TestSessionLimits(t *testing.T) {
	h := serve(t, func(o *Options) { o.Sessions, o.PerPerson = 3, 2 })
	ines, zoe, tom := h.person("Ines Calloway", records.Learner), h.person("Zoë Marsh", records.Learner), h.person("Tom Ashdown", records.Learner)
	first := h.terminal(80, 24, gossh.PublicKeys(ines))
	first.sees(t, "Ines")
	h.terminal(80, 24, gossh.PublicKeys(ines)).sees(t, "Ines")
	third := h.terminal(80, 24, gossh.PublicKeys(ines))
	third.sees(t, "as many sessions here as one person may")
	third.over()
	h.terminal(80, 24, gossh.PublicKeys(zoe)).sees(t, "Zoë")
	full := h.terminal(80, 24, gossh.PublicKeys(tom))
	full.sees(t, "as many sessions as it takes")
	full.over()
	first.press(ctrlC)
	first.over()
	left(t, h, 2)
	h.terminal(80, 24, gossh.PublicKeys(tom)).sees(t, "Tom")
}

func TestHostileTerminals(t *testing.T) {
	h := serve(t, func(o *Options) { o.PerPerson = 100 })
	key := h.person("Ines Calloway", records.Learner)
	before := memory().used
	for _, size := range [][2]int{{0, 0}, {1, 1}, {100000, 100000}, {1 << 31, 1}, {1, 1 << 31}, {4294967295, 4294967295}} {
		for _, name := range []string{"xterm", "", "dumb", "xterm-direct\x1b[2J", "../../etc/passwd", strings.Repeat("x", longestTerm), "screen.xterm-256color", "%s%n"} {
			conn, err := h.dial(gossh.PublicKeys(key))
			if err != nil {
				t.Fatal(err)
			}
			s, err := conn.NewSession()
			if err != nil {
				t.Fatal(err)
			}
			c := &client{screen: newScreen(80, 24), t: t, session: s, ended: make(chan struct{})}
			s.Stdout = c.screen
			if c.keys, err = s.StdinPipe(); err != nil {
				t.Fatal(err)
			}
			if err := errors.Join(s.RequestPty(name, size[1], size[0], nil), s.Shell()); err != nil {
				t.Fatalf("%v %q: %v", size, name, err)
			}
			// Then an ordinary one: the session is still there.
			if err := s.WindowChange(24, 80); err != nil {
				t.Fatal(err)
			}
			if name == "dumb" {
				c.sees(t, "Learner: Ines Calloway")
			} else {
				c.sees(t, "lessons passed")
			}
			if err := s.WindowChange(size[1], size[0]); err != nil {
				t.Fatal(err)
			}
			c.press("x")
			conn.Close()
		}
	}
	left(t, h, 0)
	if grown := memory().used - before; grown > 64<<20 {
		t.Errorf("the host has grown by %.0f MB", grown/1e6)
	}
}

// Who types nothing has to go; a picture that moves keeps nobody in.
func TestIdle(t *testing.T) {
	h := serve(t, func(o *Options) { o.Idle = 500 * time.Millisecond })
	c := h.terminal(80, 24, gossh.PublicKeys(h.person("Ines Calloway", records.Learner)))
	c.sees(t, "Ines")
	c.over()
	c.sees(t, "Nothing was typed")
	left(t, h, 0)
}

// Closing the host saves and tells everybody.
func TestClosing(t *testing.T) {
	h := serve(t, nil)
	c := h.terminal(120, 40, gossh.PublicKeys(h.person("Ines Calloway", records.Learner)))
	c.sees(t, "Walk round the soap cell")
	c.press("home pose", enter)
	c.sees(t, "h hand in")
	c.press("p")
	c.sees(t, "device released")
	c.press("r")
	c.sees(t, "Record")
	c.press("\x15", "kept", enter)
	c.sees(t, "recorded kept")
	p := h.prompts(gossh.PublicKeys(h.person("Zoë Marsh", records.Learner)))
	p.says(t, "Number of a lesson")
	h.close()
	c.over()
	c.sees(t, "This host is closing. All that you did is kept.")
	p.says(t, "This host is closing")
	text, err := os.ReadFile(filepath.Join(h.Folder, folderOf("Ines Calloway"), "home-pose.yaml"))
	if err != nil || !bytes.Contains(text, []byte("kept:")) {
		t.Errorf("the program is %s, %v", text, err)
	}
	if _, err := h.dial(gossh.PublicKeys(newKey(t))); err == nil {
		t.Error("a host that is closed lets in")
	}
}

// prompter is a client without a terminal.
type prompter struct {
	mu   sync.Mutex
	all  bytes.Buffer
	keys io.Writer
}

func (p *prompter) Write(b []byte) (int, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.all.Write(b)
}

func (p *prompter) text() string {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.all.String()
}

func (p *prompter) says(t *testing.T, text string) {
	t.Helper()
	for end := time.Now().Add(patience); time.Now().Before(end); time.Sleep(5 * time.Millisecond) {
		if strings.Contains(p.text(), text) {
			return
		}
	}
	t.Fatalf("%q is never said in\n%s", text, p.text())
}

func (p *prompter) types(lines ...string) {
	for _, l := range lines {
		fmt.Fprintln(p.keys, l)
	}
}

func (r *running) prompts(auth ...gossh.AuthMethod) *prompter {
	r.t.Helper()
	conn, err := r.dial(auth...)
	if err != nil {
		r.t.Fatal(err)
	}
	s, err := conn.NewSession()
	if err != nil {
		r.t.Fatal(err)
	}
	p := &prompter{}
	s.Stdout = p
	if p.keys, err = s.StdinPipe(); err != nil {
		r.t.Fatal(err)
	}
	if err := s.Shell(); err != nil {
		r.t.Fatal(err)
	}
	return p
}
