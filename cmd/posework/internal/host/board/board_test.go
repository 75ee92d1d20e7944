package board

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"posework/cmd/posework/internal/host/room"
	"posework/grader/records"
	"posework/lessons"
)

// full is a room with learners in it, one of whom is stuck, one away, one through.
func full(t testing.TB) (*room.Room, *time.Time, map[string]*room.Visitor) {
	t.Helper()
	store, err := records.Open(t.Context(), filepath.Join(t.TempDir(), "records.db"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { store.Close() })
	course, l := lessons.Load(lessons.Embedded(), ".")
	if len(l) > 0 {
		t.Fatal(l)
	}
	now := time.Date(2026, 3, 2, 5, 50, 0, 0, time.UTC)
	r, err := room.New(t.Context(), course, store, func() time.Time { return now }, now)
	if err != nil {
		t.Fatal(err)
	}
	visitors := map[string]*room.Visitor{}
	for _, name := range []string{"Zoë Marsh", "<b>Ines</b> & 'Co'", "Jo Fenwick", "Tom Ashdown"} {
		role := records.Learner
		if name == "Tom Ashdown" {
			role = records.Instructor
		}
		v := room.NewVisitor(name, "day", "main", role)
		if err := r.Enter(v, 100, 3); err != nil {
			t.Fatal(err)
		}
		visitors[name] = v
	}
	visitors["Zoë Marsh"].At("home-pose", "practises", 0)
	visitors["Jo Fenwick"].At("jogging", "reads", 0)
	attempt := func(name string, v records.Verdict, codes ...string) {
		t.Helper()
		for i, c := range codes {
			codes[i] = fmt.Sprintf(`{"code":%q}`, c)
		}
		_, err := store.AddAttempt(t.Context(), records.Attempt{Person: name, Lesson: "home-pose", Verdict: v, At: now, Findings: []byte("[" + strings.Join(codes, ",") + "]")})
		if err != nil {
			t.Fatal(err)
		}
	}
	for range room.StuckMisses {
		attempt("Zoë Marsh", records.NotPassed, "FAST_APPROACH", "<script>alert(1)</script>")
	}
	attempt("Jo Fenwick", records.Passed)
	if err := r.Read(t.Context()); err != nil {
		t.Fatal(err)
	}
	return r, &now, visitors
}

func handler(t testing.TB, b *Board) http.Handler {
	t.Helper()
	h, err := b.Handler()
	if err != nil {
		t.Fatal(err)
	}
	return h
}

func get(h http.Handler, method, target, host string) *httptest.ResponseRecorder {
	r := httptest.NewRequest(method, target, nil)
	r.Host = host
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	return w
}

func TestPage(t *testing.T) {
	r, _, _ := full(t)
	h := handler(t, &Board{Room: r})
	w := get(h, "GET", "/", "127.0.0.1:8080")
	page := w.Body.String()
	for _, want := range []string{"3 learners", "1 stuck", "Zoë Marsh", "A home pose you can trust", "3 hand-ins in a row have not passed", "&lt;b&gt;Ines&lt;/b&gt; &amp; &#39;Co&#39;"} {
		if !strings.Contains(page, want) {
			t.Errorf("the page lacks %q", want)
		}
	}
	for _, not := range []string{"<b>Ines", "<script>alert", "Tom Ashdown", "http://", "https://", "style=", "onerror"} {
		if strings.Contains(page, not) {
			t.Errorf("the page has %q", not)
		}
	}
	if w.Code != 200 || !strings.HasPrefix(w.Header().Get("Content-Type"), "text/html") {
		t.Error(w.Code, w.Header())
	}
}

// Whoever asks, in whatever way, can only read, and only from here.
func TestOnlyReading(t *testing.T) {
	r, _, _ := full(t)
	h := handler(t, &Board{Room: r, Host: "teach.example"})
	for _, method := range []string{"POST", "PUT", "DELETE", "PATCH", "OPTIONS", "CONNECT", "TRACE", "PROPFIND"} {
		if w := get(h, method, "/", "localhost"); w.Code != http.StatusMethodNotAllowed {
			t.Errorf("%s: %d", method, w.Code)
		}
	}
	for host, want := range map[string]int{
		"localhost": 200, "LOCALHOST:8080": 200, "127.0.0.1": 200, "127.0.0.1:8080": 200, "[::1]:8080": 200, "192.0.2.7:80": 200, "teach.example:8080": 200,
		"attacker.example": 421, "attacker.example:8080": 421, "127.0.0.1.attacker.example": 421, "localhost.attacker.example:80": 421, "": 421, "0x7f000001": 421,
	} {
		if w := get(h, "GET", "/", host); w.Code != want {
			t.Errorf("host %q: %d, want %d", host, w.Code, want)
		}
	}
	for _, target := range []string{"/", "/board.css", "/board.js", "/none", "/../board.go", "/board.html", "/.git/config", "/events/x"} {
		w := get(h, "GET", target, "localhost")
		if csp := w.Header().Get("Content-Security-Policy"); !strings.HasPrefix(csp, "default-src 'none'; script-src 'self'; style-src 'self'") || strings.Contains(csp, "unsafe") {
			t.Errorf("%s: the policy is %q", target, csp)
		}
		if w.Header().Get("X-Content-Type-Options") != "nosniff" || w.Header().Get("Cache-Control") != "no-store" {
			t.Errorf("%s: %v", target, w.Header())
		}
		known := target == "/" || target == "/board.css" || target == "/board.js"
		if known != (w.Code == 200) {
			t.Errorf("%s: %d", target, w.Code)
		}
	}
	if w := get(h, "HEAD", "/events", "localhost"); w.Code != 200 || w.Body.Len() > 0 {
		t.Errorf("HEAD: %d, %d bytes", w.Code, w.Body.Len())
	}
}

func TestNamesAreHidden(t *testing.T) {
	r, _, _ := full(t)
	for name, h := range map[string]http.Handler{"asked for": handler(t, &Board{Room: r}), "always": handler(t, &Board{Room: r, HideNames: true})} {
		target := "/?names=hidden"
		if name == "always" {
			target = "/?names=shown"
		}
		page := get(h, "GET", target, "localhost").Body.String()
		for _, who := range []string{"Zoë", "Ines", "Fenwick"} {
			if strings.Contains(page, who) {
				t.Errorf("%s: %s is shown", name, who)
			}
		}
		if !strings.Contains(page, "Learner 1") || !strings.Contains(page, "Learner 3") {
			t.Errorf("%s: nobody is told apart", name)
		}
		if strings.Contains(page, "Show names") == (name == "always") {
			t.Errorf("%s: the page offers what it should not", name)
		}
	}
}

// serve shows a board on a free port.
func serve(t *testing.T, b *Board) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	done := make(chan error, 1)
	go func() { done <- b.Serve(ctx, l) }()
	t.Cleanup(func() {
		stop()
		if err := <-done; err != nil {
			t.Errorf("Serve: %v", err)
		}
	})
	return l.Addr().String()
}

// The page is told of changes, without asking, for as long as it is open.
func TestLive(t *testing.T) {
	r, now, visitors := full(t)
	addr := serve(t, &Board{Room: r, Quiet: time.Millisecond, Wait: 300 * time.Millisecond})
	resp, err := http.Get("http://" + addr + "/events")
	if err != nil {
		t.Fatal(err)
	}
	defer resp.Body.Close()
	lines := make(chan string, 1000)
	go func() {
		defer close(lines)
		s := bufio.NewScanner(resp.Body)
		for s.Scan() {
			lines <- s.Text()
		}
	}()
	sees := func(text string) {
		t.Helper()
		for late := time.After(30 * time.Second); ; {
			select {
			case line, more := <-lines:
				if !more {
					t.Fatalf("the stream ends before %q", text)
				}
				if line != "" && !strings.HasPrefix(line, "data: ") && line != ": still here" {
					t.Errorf("a line of the stream is %q", line)
				}
				if strings.Contains(line, text) {
					return
				}
			case <-late:
				t.Fatalf("%q never comes", text)
			}
		}
	}
	sees("3 learners")
	time.Sleep(500 * time.Millisecond) // longer than anybody may take
	visitors["Jo Fenwick"].At("approach-the-crate", "practises", 0)
	sees("Approach the curing crate and come away")
	v := room.NewVisitor("Late\nComer", "", "main", records.Learner)
	if err := r.Enter(v, 100, 3); err != nil {
		t.Fatal(err)
	}
	sees("4 learners")
	*now = now.Add(room.StuckAfter)
	v.At("jogging", "reads", 0)
	sees("nothing new for a while")
	r.Leave(v)
	sees("3 learners")
}

func TestSlowReaders(t *testing.T) {
	r, _, visitors := full(t)
	addr := serve(t, &Board{Room: r, Quiet: time.Microsecond, Wait: 300 * time.Millisecond, Streams: 1})
	open := func(send string) net.Conn {
		t.Helper()
		c, err := net.Dial("tcp", addr)
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { c.Close() })
		_ = c.(*net.TCPConn).SetReadBuffer(4096)
		if _, err := io.WriteString(c, send); err != nil {
			t.Fatal(err)
		}
		return c
	}
	// A request that never ends.
	c := open("GET / HTTP/1.1\r\nHost: localhost\r\nX-Slow: ")
	_ = c.SetReadDeadline(time.Now().Add(30 * time.Second))
	if _, err := io.Copy(io.Discard, c); err != nil {
		t.Errorf("a request that never ends is not cut: %v", err)
	}
	// A page that takes nothing; as long as it is there, another one is refused.
	open("GET /events HTTP/1.1\r\nHost: localhost\r\n\r\n")
	refused, taken, n := false, false, 0
	for end := time.Now().Add(30 * time.Second); time.Now().Before(end) && !taken; {
		for range 20 {
			n++
			visitors["Jo Fenwick"].At("jogging", fmt.Sprint("does ", n, strings.Repeat(" much", 4000)), 0)
			time.Sleep(100 * time.Microsecond)
		}
		ctx, stop := context.WithTimeout(t.Context(), 5*time.Second)
		req, _ := http.NewRequestWithContext(ctx, "GET", "http://"+addr+"/events", nil)
		resp, err := http.DefaultClient.Do(req)
		if err == nil {
			refused = refused || resp.StatusCode == http.StatusServiceUnavailable
			taken = resp.StatusCode == http.StatusOK
			resp.Body.Close()
		}
		stop()
		time.Sleep(5 * time.Millisecond)
	}
	if !refused || !taken {
		t.Errorf("another page is refused first: %v, taken when the slow one is cut: %v", refused, taken)
	}
	// A giant head.
	w, err := http.NewRequest("GET", "http://"+addr+"/", nil)
	if err != nil {
		t.Fatal(err)
	}
	w.Header.Set("X-Giant", strings.Repeat("x", 1<<20))
	if resp, err := http.DefaultClient.Do(w); err == nil {
		if resp.StatusCode != http.StatusRequestHeaderFieldsTooLarge {
			t.Errorf("a giant head: %d", resp.StatusCode)
		}
		resp.Body.Close()
	}
}

func BenchmarkPart(b *testing.B) {
	r, _, _ := full(b)
	for i := range 97 {
		v := room.NewVisitor(fmt.Sprint("Learner ", i), "day", "main", records.Learner)
		if err := r.Enter(v, 100, 3); err != nil {
			b.Skip(err)
		}
	}
	h := handler(b, &Board{Room: r})
	b.ReportAllocs()
	for b.Loop() {
		get(h, "GET", "/", "localhost")
	}
}
