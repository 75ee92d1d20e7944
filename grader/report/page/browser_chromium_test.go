//go:build chromium

package page

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"
)

// browser is a headless Chromium that is told what to do over a pair of pipes
// (its DevTools protocol), so that no port is opened and the page's own policy
// stays as it is.
type browser struct {
	t       *testing.T
	out     io.Writer
	session string

	mu      sync.Mutex
	next    int
	waiting map[int]chan answer
	faults  []string // what the page complained of
	fetched []string // addresses that it asked for
	loaded  chan struct{}
}

type answer struct {
	Result json.RawMessage
	Error  *struct{ Message string }
}

// open shows a document at a size of the window.
func open(t *testing.T, document string) *browser {
	t.Helper()
	path, err := exec.LookPath("chromium")
	if err != nil {
		t.Fatal("chromium is not installed: ", err)
	}
	file := filepath.Join(t.TempDir(), "report.html")
	if err := os.WriteFile(file, []byte(document), 0o644); err != nil {
		t.Fatal(err)
	}
	toRead, toWrite := pipe(t)
	fromRead, fromWrite := pipe(t)
	cmd := exec.Command(path, "--headless=new", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--disable-background-networking",
		"--disable-component-update", "--disable-sync", "--no-first-run", "--hide-scrollbars",
		"--user-data-dir="+t.TempDir(), "--remote-debugging-pipe", "about:blank")
	cmd.ExtraFiles = []*os.File{toRead, fromWrite} // 3 and 4, as the protocol has it
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	toRead.Close()
	fromWrite.Close()
	b := &browser{t: t, out: toWrite, waiting: map[int]chan answer{}, loaded: make(chan struct{}, 1)}
	t.Cleanup(func() {
		b.send("Browser.close", nil)
		toWrite.Close()
		done := make(chan error, 1)
		go func() { done <- cmd.Wait() }()
		select {
		case <-done:
		case <-time.After(10 * time.Second):
			cmd.Process.Kill()
			<-done
		}
	})
	go b.listen(fromRead)

	var target struct{ TargetID string }
	b.call("Target.createTarget", map[string]any{"url": "about:blank"}, &target)
	var attached struct{ SessionID string }
	b.call("Target.attachToTarget", map[string]any{"targetId": target.TargetID, "flatten": true}, &attached)
	b.session = attached.SessionID
	for _, domain := range []string{"Page", "Runtime", "Log", "Network"} {
		b.call(domain+".enable", nil, nil)
	}
	b.size(1280, 900)
	b.call("Page.navigate", map[string]any{"url": "file://" + file}, nil)
	select {
	case <-b.loaded:
	case <-time.After(60 * time.Second):
		t.Fatal("the page was not loaded within a minute")
	}
	return b
}

func pipe(t *testing.T) (r, w *os.File) {
	t.Helper()
	r, w, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	return r, w
}

// listen reads what the browser says: answers, and what happens on the page.
func (b *browser) listen(r io.Reader) {
	in := bufio.NewReader(r)
	for {
		line, err := in.ReadBytes(0)
		if err != nil {
			return
		}
		var m struct {
			ID     int
			Method string
			Params json.RawMessage
			answer
		}
		if json.Unmarshal(line[:len(line)-1], &m) != nil {
			continue
		}
		b.mu.Lock()
		switch m.Method {
		case "":
			if c := b.waiting[m.ID]; c != nil {
				c <- m.answer
			}
		case "Page.loadEventFired":
			select {
			case b.loaded <- struct{}{}:
			default:
			}
		case "Runtime.exceptionThrown", "Runtime.consoleAPICalled", "Log.entryAdded", "Page.javascriptDialogOpening":
			b.faults = append(b.faults, m.Method+" "+string(m.Params))
		case "Network.requestWillBeSent":
			var p struct{ Request struct{ URL string } }
			_ = json.Unmarshal(m.Params, &p)
			b.fetched = append(b.fetched, p.Request.URL)
		}
		b.mu.Unlock()
	}
}

func (b *browser) send(method string, params any) chan answer {
	b.mu.Lock()
	b.next++
	id, c := b.next, make(chan answer, 1)
	b.waiting[id] = c
	b.mu.Unlock()
	m := map[string]any{"id": id, "method": method}
	if params != nil {
		m["params"] = params
	}
	if b.session != "" && !strings.HasPrefix(method, "Browser.") {
		m["sessionId"] = b.session
	}
	text, err := json.Marshal(m)
	if err != nil {
		b.t.Error(err)
	}
	_, _ = b.out.Write(append(text, 0)) // one that is gone does not answer
	return c
}

func (b *browser) call(method string, params, result any) {
	b.t.Helper()
	select {
	case a := <-b.send(method, params):
		if a.Error != nil {
			b.t.Fatalf("%s: %s", method, a.Error.Message)
		}
		if result != nil {
			if err := json.Unmarshal(a.Result, result); err != nil {
				b.t.Fatalf("%s: %v", method, err)
			}
		}
	case <-time.After(60 * time.Second):
		b.t.Fatalf("%s: no answer within a minute", method)
	}
}

// eval evaluates an expression on the page.
func eval[T any](b *browser, expression string) (v T) {
	b.t.Helper()
	var r struct {
		Result           struct{ Value json.RawMessage }
		ExceptionDetails *struct {
			Exception struct{ Description string }
		}
	}
	b.call("Runtime.evaluate", map[string]any{"expression": expression, "returnByValue": true, "awaitPromise": true}, &r)
	if r.ExceptionDetails != nil {
		b.t.Fatalf("%s: %s", expression, r.ExceptionDetails.Exception.Description)
	}
	if err := json.Unmarshal(r.Result.Value, &v); err != nil {
		b.t.Fatalf("%s = %s: %v", expression, r.Result.Value, err)
	}
	return v
}

func (b *browser) size(w, h int) {
	b.call("Emulation.setDeviceMetricsOverride", map[string]any{"width": w, "height": h, "deviceScaleFactor": 1, "mobile": false}, nil)
}

// media sets what the page is told about its reader: "print", or features.
func (b *browser) media(medium string, features ...string) {
	list := []map[string]string{}
	for i := 0; i < len(features); i += 2 {
		list = append(list, map[string]string{"name": features[i], "value": features[i+1]})
	}
	b.call("Emulation.setEmulatedMedia", map[string]any{"media": medium, "features": list}, nil)
}

// key presses a key.
func (b *browser) key(key string, code int) {
	for _, kind := range []string{"rawKeyDown", "keyUp"} {
		b.call("Input.dispatchKeyEvent", map[string]any{"type": kind, "key": key, "code": key, "windowsVirtualKeyCode": code}, nil)
	}
}

// until waits for a condition of the page.
func (b *browser) until(condition string) {
	b.t.Helper()
	for range 400 {
		if eval[bool](b, condition) {
			return
		}
		time.Sleep(25 * time.Millisecond)
	}
	b.t.Fatalf("within ten seconds not true: %s", condition)
}

// quiet fails the test when the page complained or asked for anything.
func (b *browser) quiet() {
	b.t.Helper()
	b.mu.Lock()
	defer b.mu.Unlock()
	for _, f := range b.faults {
		b.t.Errorf("the page says: %s", f)
	}
	if len(b.fetched) != 1 || !strings.HasPrefix(b.fetched[0], "file://") {
		b.t.Errorf("the page asked for %q, want itself alone", b.fetched)
	}
}

// picture keeps a picture of the window where POSEWORK_TEST_PICTURES names a
// folder, for people to look at.
func (b *browser) picture(name string) {
	dir := os.Getenv("POSEWORK_TEST_PICTURES")
	if dir == "" {
		return
	}
	var r struct{ Data []byte }
	b.call("Page.captureScreenshot", map[string]any{"format": "png"}, &r)
	if err := os.WriteFile(filepath.Join(dir, fmt.Sprintf("%s.png", name)), r.Data, 0o644); err != nil {
		b.t.Fatal(err)
	}
}
