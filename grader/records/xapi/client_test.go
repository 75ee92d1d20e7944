package xapi

import (
	"context"
	"encoding/json"
	"errors"
	"io"
	"iter"
	"maps"
	"net/http"
	"net/http/httptest"
	"net/url"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"
)

// fakeStore is a learning record store in memory, with faults to order. It keeps
// to what the standard asks: an id is taken once; the same statement again is no
// error, another one under the same id is a conflict.
type fakeStore struct {
	t        *testing.T
	mu       sync.Mutex
	held     map[string]json.RawMessage
	voided   map[string]bool
	requests int
	taken    int // statements taken, repeats counted
	// fault answers a request instead of the store when it returns true.
	fault func(n int, w http.ResponseWriter, r *http.Request) bool
	// strict answers any known id in a POST with a conflict, as some stores do.
	strict bool
}

func (f *fakeStore) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.requests++
	if r.Header.Get("X-Experience-API-Version") != "2.0.0" || r.URL.Path != "/xapi/statements" {
		f.t.Errorf("request %s with version %q", r.URL, r.Header.Get("X-Experience-API-Version"))
	}
	if f.fault != nil && f.fault(f.requests, w, r) {
		return
	}
	body, err := io.ReadAll(r.Body)
	if err != nil {
		f.t.Error(err)
	}
	switch r.Method {
	case http.MethodPost:
		f.post(w, body)
	case http.MethodPut:
		id := r.URL.Query().Get("statementId")
		if !f.fits(id, body, false) {
			w.WriteHeader(http.StatusConflict)
			return
		}
		f.keep(id, body)
		w.WriteHeader(http.StatusNoContent)
	case http.MethodGet:
		id := r.URL.Query().Get("statementId")
		if v := r.URL.Query().Get("voidedStatementId"); v != "" {
			if !f.voided[v] {
				w.WriteHeader(http.StatusNotFound)
			}
			return
		}
		if f.held[id] == nil || f.voided[id] {
			w.WriteHeader(http.StatusNotFound)
			return
		}
		w.Write(f.held[id])
	}
}

func (f *fakeStore) post(w http.ResponseWriter, body []byte) {
	var list []json.RawMessage
	if err := json.Unmarshal(body, &list); err != nil {
		f.t.Errorf("POST of %s: %v", body, err)
	}
	ids := make([]string, len(list))
	for i, raw := range list {
		if broken := violations(raw); broken != nil {
			f.t.Errorf("%s breaks %q", raw, broken)
		}
		var s Statement
		if err := json.Unmarshal(raw, &s); err != nil {
			f.t.Error(err)
		}
		ids[i] = s.ID
		if !f.fits(s.ID, raw, f.strict) {
			w.WriteHeader(http.StatusConflict)
			return
		}
	}
	for i, raw := range list {
		f.keep(ids[i], raw)
	}
	if err := json.NewEncoder(w).Encode(ids); err != nil {
		f.t.Error(err)
	}
}

func (f *fakeStore) fits(id string, raw []byte, strict bool) bool {
	return f.held[id] == nil || !strict && string(f.held[id]) == string(raw)
}

func (f *fakeStore) keep(id string, raw []byte) {
	f.taken++
	f.held[id] = slices.Clone(raw)
	var s Statement
	if json.Unmarshal(raw, &s) == nil && s.Object.ObjectType == "StatementRef" {
		f.voided[s.Object.ID] = true
	}
}

// setup returns a store, a client that notes its pauses instead of making them,
// and some statements.
func setup(t *testing.T) (*fakeStore, *Client, []Statement, *[]time.Duration) {
	t.Helper()
	f := &fakeStore{t: t, held: map[string]json.RawMessage{}, voided: map[string]bool{}}
	srv := httptest.NewServer(f)
	t.Cleanup(srv.Close)
	var pauses []time.Duration
	c := &Client{URL: srv.URL + "/xapi/", User: "u", Password: "p", Batch: 4, Timeout: 5 * time.Second,
		Sleep: func(ctx context.Context, d time.Duration) error { pauses = append(pauses, d); return ctx.Err() }}
	s := filled(t)
	m, err := NewMaker(s.ID(), home, false)
	if err != nil {
		t.Fatal(err)
	}
	var list []Statement
	for st, err := range m.All(t.Context(), s, time.Time{}) {
		if err != nil {
			t.Fatal(err)
		}
		list = append(list, st)
	}
	return f, c, list, &pauses
}

func each(list []Statement) iter.Seq2[Statement, error] {
	return func(yield func(Statement, error) bool) {
		for _, s := range list {
			if !yield(s, nil) {
				return
			}
		}
	}
}

// holdsAll fails unless the store holds just these statements.
func (f *fakeStore) holdsAll(list []Statement) {
	f.t.Helper()
	want := map[string]bool{}
	for _, s := range list {
		want[s.ID] = true
	}
	if got := slices.Sorted(maps.Keys(f.held)); !slices.Equal(got, slices.Sorted(maps.Keys(want))) {
		f.t.Errorf("the store holds %d statements, want %d", len(got), len(want))
	}
}

func TestSend(t *testing.T) {
	f, c, list, pauses := setup(t)
	var auth string
	f.fault = func(_ int, _ http.ResponseWriter, r *http.Request) bool {
		auth = r.Header.Get("Authorization")
		return false
	}
	sent, err := c.Send(t.Context(), each(list))
	if err != nil || sent != (Sent{New: 14}) || f.requests != 4 || len(*pauses) != 0 {
		t.Fatalf("Send = %+v, %v in %d requests, want 14 in 4", sent, err, f.requests)
	}
	f.holdsAll(list)
	if auth != "Basic dTpw" { // RFC 7617: base64 of u:p
		t.Errorf("authorization is %q", auth)
	}
	// Again: nothing is kept twice.
	if _, err := c.Send(t.Context(), each(list)); err != nil {
		t.Error(err)
	}
	f.holdsAll(list)
	if sent, err := c.Send(t.Context(), none); err != nil || sent != (Sent{}) {
		t.Errorf("Send of nothing = %+v, %v", sent, err)
	}
	if _, err := c.Send(t.Context(), failing); !errors.Is(err, errFailing) {
		t.Errorf("Send of a failing list: %v", err)
	}
}

func TestSendTriesAgain(t *testing.T) {
	f, c, list, pauses := setup(t)
	c.Timeout = 100 * time.Millisecond
	f.fault = func(n int, w http.ResponseWriter, r *http.Request) bool {
		switch n {
		case 1:
			w.WriteHeader(http.StatusServiceUnavailable)
		case 2:
			w.Header().Set("Retry-After", "7")
			w.WriteHeader(http.StatusTooManyRequests)
		case 3: // the connection breaks
			conn, _, err := w.(http.Hijacker).Hijack()
			if err != nil {
				t.Error(err)
			}
			conn.Close()
		case 4: // no answer in time
			io.Copy(io.Discard, r.Body)
			<-r.Context().Done()
		case 5: // taken, but the answer is lost
			body, _ := io.ReadAll(r.Body)
			f.post(httptest.NewRecorder(), body)
			w.WriteHeader(http.StatusBadGateway)
		case 8:
			w.Header().Set("Retry-After", "86400")
			w.WriteHeader(http.StatusInternalServerError)
		default:
			return false
		}
		return true
	}
	sent, err := c.Send(t.Context(), each(list))
	if err != nil || sent.New != 14 {
		t.Fatalf("Send = %+v, %v, want 14", sent, err)
	}
	f.holdsAll(list)
	want := []time.Duration{time.Second, 7 * time.Second, 4 * time.Second, 8 * time.Second, 16 * time.Second, time.Minute}
	if !slices.Equal(*pauses, want) {
		t.Errorf("pauses %v, want %v", *pauses, want)
	}
}

func TestSendGivesUp(t *testing.T) {
	f, c, list, pauses := setup(t)
	c.Tries = 3
	f.fault = func(n int, w http.ResponseWriter, _ *http.Request) bool {
		if n > 1 {
			w.WriteHeader(http.StatusBadGateway)
		}
		return n > 1
	}
	sent, err := c.Send(t.Context(), each(list))
	if err == nil || !strings.Contains(err.Error(), "tried 3 times: the learning record store says: ") || sent.New != 4 || len(*pauses) != 2 {
		t.Errorf("Send = %+v, %v after %d pauses, want 4 and an error", sent, err, len(*pauses))
	}
	// What is left goes later.
	f.fault = nil
	if _, err := c.Send(t.Context(), each(list)); err != nil {
		t.Error(err)
	}
	f.holdsAll(list)

	c.URL = "http://127.0.0.1:1/xapi" // nobody listens
	_, err = c.Send(t.Context(), each(list))
	if err == nil || !strings.Contains(err.Error(), "does not answer, tried 3 times") {
		t.Errorf("no server: %v", err)
	}
}

func TestSendConflicts(t *testing.T) {
	f, c, list, _ := setup(t)
	f.strict = true
	if _, err := c.Send(t.Context(), each(list)); err != nil {
		t.Fatal(err)
	}
	// Known ids are answered with 409 for the whole batch, and with 204 one by one.
	more := attempt()
	more.ID = 99
	list = append(list, maker(t, false).Attempt(more)...)
	sent, err := c.Send(t.Context(), each(list))
	if err != nil || sent.New+sent.There != 15 {
		t.Errorf("Send = %+v, %v, want 15", sent, err)
	}
	f.holdsAll(list)

	// Held with other spelling and with what stores add: the same statement.
	first := list[1]
	var held map[string]any
	if err := json.Unmarshal(f.held[first.ID], &held); err != nil {
		t.Fatal(err)
	}
	held["stored"], held["version"] = "2026-03-02T06:00:00Z", "2.0.0"
	held["timestamp"] = strings.Replace(held["timestamp"].(string), "456Z", "+00:00", 1)
	delete(held["object"].(map[string]any), "definition")
	held["verb"].(map[string]any)["display"] = map[string]any{"en-GB": "passed"}
	if f.held[first.ID], err = json.Marshal(held); err != nil {
		t.Fatal(err)
	}
	// And one that was voided since: it is found under another parameter.
	voided := list[0].ID
	if !f.voided[voided] {
		t.Fatal("the first attempt is not voided")
	}
	f.held[voided] = json.RawMessage(`{}`)
	sent, err = c.Send(t.Context(), each([]Statement{first, list[0]}))
	if err != nil || sent != (Sent{There: 2}) {
		t.Errorf("Send of held ones = %+v, %v, want 2 there", sent, err)
	}

	// Another statement under the id is a conflict, and stays as it is.
	for _, change := range []func(){
		func() { held["timestamp"] = "2020-01-01T00:00:00Z" },
		func() { held["actor"] = map[string]any{"mbox": "mailto:a@b.example"} },
		func() { held["timestamp"] = 7 },
		func() { held["verb"] = 7 },
	} {
		change()
		if f.held[first.ID], err = json.Marshal(held); err != nil {
			t.Fatal(err)
		}
		_, err = c.Send(t.Context(), each([]Statement{first}))
		if !errors.Is(err, ErrConflict) || !strings.Contains(err.Error(), first.ID) {
			t.Errorf("Send: %v, want ErrConflict", err)
		}
	}
	f.held[first.ID] = json.RawMessage(`not json`)
	if _, err = c.Send(t.Context(), each([]Statement{first})); !errors.Is(err, ErrConflict) {
		t.Errorf("Send: %v, want ErrConflict", err)
	}
}

func TestSendSplitsWhatIsTooLarge(t *testing.T) {
	f, c, list, _ := setup(t)
	f.fault = func(_ int, w http.ResponseWriter, r *http.Request) bool {
		if r.Method == http.MethodPost {
			w.WriteHeader(http.StatusRequestEntityTooLarge)
		}
		return r.Method == http.MethodPost
	}
	c.Batch = 5
	if sent, err := c.Send(t.Context(), each(list)); err != nil || sent.New != 14 {
		t.Errorf("Send = %+v, %v, want 14", sent, err)
	}
	f.holdsAll(list)
	c.Batch = 1
	if _, err := c.Send(t.Context(), each(list)); err == nil || !strings.Contains(err.Error(), "(413)") {
		t.Errorf("one statement too large: %v", err)
	}
}

func TestSendIsRefused(t *testing.T) {
	tests := []struct {
		code int
		body string
		want string
	}{
		{401, "", "does not let this user write; check the user and the password (401)"},
		{403, "", "does not let this user write"},
		{404, "", "has nothing at this address; check it (404)"},
		{308, "", "lies at another address now; use that (308)"},
		{400, "bad \x1b[2Jstatement", "says: bad  [2Jstatement (400)"},
	}
	for _, tt := range tests {
		f, c, list, pauses := setup(t)
		f.fault = func(_ int, w http.ResponseWriter, _ *http.Request) bool {
			w.Header().Set("Location", "/elsewhere")
			w.WriteHeader(tt.code)
			io.WriteString(w, tt.body)
			return true
		}
		_, err := c.Send(t.Context(), each(list))
		if err == nil || !strings.Contains(err.Error(), tt.want) || f.requests != 1 || len(*pauses) != 0 {
			t.Errorf("%d: %v after %d requests, want %q after one", tt.code, err, f.requests, tt.want)
		}
		// The same of a single statement.
		f.fault = func(_ int, w http.ResponseWriter, r *http.Request) bool {
			if r.Method == http.MethodPost {
				w.WriteHeader(http.StatusConflict)
			} else {
				w.WriteHeader(tt.code)
			}
			return true
		}
		if _, err := c.Send(t.Context(), each(list)); err == nil {
			t.Errorf("%d to a PUT: no error", tt.code)
		}
	}
}

func TestSendStopsWhenTold(t *testing.T) {
	f, c, list, _ := setup(t)
	ctx, cancel := context.WithCancel(t.Context())
	f.fault = func(_ int, w http.ResponseWriter, _ *http.Request) bool {
		w.WriteHeader(http.StatusServiceUnavailable)
		return true
	}
	c.Sleep = func(ctx context.Context, _ time.Duration) error { cancel(); return ctx.Err() }
	if _, err := c.Send(ctx, each(list)); !errors.Is(err, context.Canceled) {
		t.Errorf("Send: %v, want canceled", err)
	}
	c.Sleep = nil // the real pause ends at once, too
	if _, err := c.Send(ctx, each(list)); !errors.Is(err, context.Canceled) {
		t.Errorf("Send: %v, want canceled", err)
	}
	ctx, cancel = context.WithTimeout(t.Context(), 20*time.Millisecond)
	defer cancel()
	if _, err := c.Send(ctx, each(list)); !errors.Is(err, context.DeadlineExceeded) {
		t.Errorf("Send: %v, want deadline exceeded", err)
	}
}

func TestSendNeedsASafeAddress(t *testing.T) {
	for addr, ok := range map[string]bool{
		"https://lrs.example/xapi": true, "http://127.0.0.1:8080/xapi": true, "http://[::1]/": true, "http://localhost/xapi": true,
		"http://lrs.example/xapi": false, "ftp://lrs.example": false, "lrs.example": false, "": false, "https://%zz": false,
	} {
		c := &Client{URL: addr}
		if err := c.check(); (err == nil) != ok {
			t.Errorf("%q: %v", addr, err)
		}
	}
	c := &Client{URL: "http://lrs.example/xapi", HTTP: &http.Client{Transport: &http.Transport{Proxy: func(*http.Request) (*url.URL, error) { t.Error("asked"); return nil, nil }}}}
	if _, err := c.Send(t.Context(), each([]Statement{{}})); err == nil || !strings.Contains(err.Error(), "use https") {
		t.Errorf("Send: %v", err)
	}
}
