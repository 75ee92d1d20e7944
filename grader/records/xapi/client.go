package xapi

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"iter"
	"net"
	"net/http"
	"net/url"
	"reflect"
	"strconv"
	"strings"
	"time"
	"unicode"
)

// Version is the version of the standard that requests name.
const Version = "2.0.0"

// Client sends statements to a learning record store. Sending the same again is
// safe: ids make sure that each is kept once.
type Client struct {
	URL            string // of the store; "/statements" is appended
	User, Password string // for HTTP basic authentication; both may be empty
	HTTP           *http.Client
	Sleep          func(context.Context, time.Duration) error // waits; nil waits in real time
	Tries          int                                        // of one request; 0 means 6
	Batch          int                                        // statements in one request; 0 means 100
	Timeout        time.Duration                              // of one request; 0 means 30 s
}

// Sent counts what became of statements.
type Sent struct {
	New   int // the store took them, or says so; some may have been there
	There int // the store had them already
}

// ErrConflict is returned when the store holds another statement under the same
// id.
var ErrConflict = errors.New("the learning record store holds another statement with this id")

// answerMax bounds what is read of an answer.
const answerMax = 1 << 20

// waitMax bounds the pause between two tries, whatever the store asks for.
const waitMax = time.Minute

// Send sends statements and returns what became of them, also with an error:
// what was counted is kept.
func (c *Client) Send(ctx context.Context, statements iter.Seq2[Statement, error]) (Sent, error) {
	var sent Sent
	if err := c.check(); err != nil {
		return sent, err
	}
	size := c.Batch
	if size <= 0 {
		size = 100
	}
	var batch []Statement
	for s, err := range statements {
		if err != nil {
			return sent, err
		}
		if batch = append(batch, s); len(batch) == size {
			if err := c.post(ctx, batch, &sent); err != nil {
				return sent, err
			}
			batch = batch[:0]
		}
	}
	if len(batch) > 0 {
		return sent, c.post(ctx, batch, &sent)
	}
	return sent, nil
}

// check refuses addresses over which names would travel readable.
func (c *Client) check() error {
	u, err := url.Parse(c.URL)
	if err != nil || u.Host == "" {
		return fmt.Errorf("%q is not the address of a learning record store; write it as https://lrs.example.org/xapi", c.URL)
	}
	if u.Scheme == "https" || u.Scheme == "http" && local(u.Hostname()) {
		return nil
	}
	return fmt.Errorf("%s is not an https address, so that names and marks could be read on the way; use https", c.URL)
}

func local(host string) bool {
	ip := net.ParseIP(host)
	return host == "localhost" || ip != nil && ip.IsLoopback()
}

// post sends a batch in one request; where the store refuses it as a whole, in
// smaller ones.
func (c *Client) post(ctx context.Context, batch []Statement, sent *Sent) error {
	body, err := json.Marshal(batch)
	if err != nil {
		return err
	}
	a, err := c.try(ctx, http.MethodPost, "", body)
	if err != nil {
		return err
	}
	switch {
	case a.code == http.StatusOK || a.code == http.StatusNoContent:
		sent.New += len(batch)
		return nil
	case a.code == http.StatusConflict || a.code == http.StatusRequestEntityTooLarge && len(batch) > 1:
		for _, s := range batch {
			if err := c.put(ctx, s, sent); err != nil {
				return err
			}
		}
		return nil
	}
	return a.refused()
}

// put sends one statement under its id.
func (c *Client) put(ctx context.Context, s Statement, sent *Sent) error {
	body, err := json.Marshal(s)
	if err != nil {
		return err
	}
	query := "?statementId=" + url.QueryEscape(s.ID)
	a, err := c.try(ctx, http.MethodPut, query, body)
	if err != nil {
		return err
	}
	switch a.code {
	case http.StatusOK, http.StatusNoContent:
		sent.New++
		return nil
	case http.StatusConflict:
		held, err := c.try(ctx, http.MethodGet, query, nil)
		if err != nil {
			return err
		}
		if held.code == http.StatusOK && sameStatement(body, held.body) || held.code == http.StatusNotFound && c.voided(ctx, s.ID) {
			sent.There++
			return nil
		}
		return fmt.Errorf("%w: %s; its records may have been restored from a backup and gone on since", ErrConflict, s.ID)
	}
	return a.refused()
}

// voided tells whether the store holds a statement as voided: it is found under
// another parameter then.
func (c *Client) voided(ctx context.Context, id string) bool {
	a, err := c.try(ctx, http.MethodGet, "?voidedStatementId="+url.QueryEscape(id), nil)
	return err == nil && a.code == http.StatusOK
}

// sameStatement compares what was sent with what the store returns, which may
// have got more properties and another spelling of the time.
func sameStatement(sent, held []byte) bool {
	var a, b map[string]any
	if json.Unmarshal(sent, &a) != nil || json.Unmarshal(held, &b) != nil {
		return false
	}
	for _, key := range []string{"id", "actor", "object", "result", "context"} {
		x, y := a[key], b[key]
		if m, ok := y.(map[string]any); ok && key == "object" {
			delete(m, "definition") // not part of the statement, says the standard
		}
		if m, ok := x.(map[string]any); ok && key == "object" {
			delete(m, "definition")
		}
		if key == "context" {
			x, y = without(x, "contextActivities"), without(y, "contextActivities")
		}
		if !reflect.DeepEqual(x, y) {
			return false
		}
	}
	return sameVerb(a["verb"], b["verb"]) && sameTime(a["timestamp"], b["timestamp"])
}

func without(v any, key string) any {
	if m, ok := v.(map[string]any); ok {
		delete(m, key)
	}
	return v
}

func sameVerb(a, b any) bool {
	x, ok := a.(map[string]any)
	y, ok2 := b.(map[string]any)
	return ok && ok2 && x["id"] == y["id"]
}

func sameTime(a, b any) bool {
	x, ok := a.(string)
	y, ok2 := b.(string)
	if !ok || !ok2 {
		return false
	}
	p, err := time.Parse(time.RFC3339Nano, x)
	q, err2 := time.Parse(time.RFC3339Nano, y)
	// Some stores keep milliseconds.
	return err == nil && err2 == nil && p.Sub(q).Abs() < time.Millisecond
}

// answer is what the store said.
type answer struct {
	code int
	body []byte
	wait time.Duration // as it asked for
}

func (a *answer) refused() error {
	text := strings.Map(func(r rune) rune {
		if unicode.IsPrint(r) {
			return r
		}
		return ' '
	}, string(a.body[:min(len(a.body), 200)]))
	why := "says: " + text
	switch a.code {
	case http.StatusUnauthorized, http.StatusForbidden:
		why = "does not let this user write; check the user and the password"
	case http.StatusNotFound:
		why = "has nothing at this address; check it"
	}
	if a.code >= 300 && a.code < 400 {
		why = "lies at another address now; use that"
	}
	return fmt.Errorf("the learning record store %s (%d)", why, a.code)
}

// again tells whether the same request may be answered otherwise later.
func (a *answer) again() bool {
	return a.code == http.StatusTooManyRequests || a.code == http.StatusRequestTimeout || a.code >= 500
}

// try makes one request, again and again while that may help.
func (c *Client) try(ctx context.Context, method, query string, body []byte) (*answer, error) {
	tries := c.Tries
	if tries <= 0 {
		tries = 6
	}
	pause := time.Second
	for n := 1; ; n++ {
		a, err := c.once(ctx, method, query, body)
		if err == nil && !a.again() {
			return a, nil
		}
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		if n == tries {
			if err != nil {
				return nil, fmt.Errorf("the learning record store does not answer, tried %d times: %w", n, err)
			}
			return nil, fmt.Errorf("tried %d times: %w", n, a.refused())
		}
		wait := pause
		if err == nil && a.wait > 0 {
			wait = min(a.wait, waitMax)
		}
		if err := c.sleep(ctx, wait); err != nil {
			return nil, err
		}
		pause = min(2*pause, waitMax)
	}
}

func (c *Client) sleep(ctx context.Context, d time.Duration) error {
	if c.Sleep != nil {
		return c.Sleep(ctx, d)
	}
	select {
	case <-ctx.Done():
		return ctx.Err()
	case <-time.After(d):
		return nil
	}
}

// once makes one request.
func (c *Client) once(ctx context.Context, method, query string, body []byte) (*answer, error) {
	timeout := c.Timeout
	if timeout <= 0 {
		timeout = 30 * time.Second
	}
	ctx, cancel := context.WithTimeout(ctx, timeout)
	defer cancel()
	req, err := http.NewRequestWithContext(ctx, method, strings.TrimSuffix(c.URL, "/")+"/statements"+query, bytes.NewReader(body))
	if err != nil {
		return nil, err
	}
	req.Header.Set("X-Experience-API-Version", Version)
	if body != nil {
		req.Header.Set("Content-Type", "application/json")
	}
	if c.User != "" || c.Password != "" {
		req.SetBasicAuth(c.User, c.Password)
	}
	client := http.Client{}
	if c.HTTP != nil {
		client = *c.HTTP
	}
	// A redirected POST would become a GET, and send the password elsewhere.
	client.CheckRedirect = func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }
	resp, err := client.Do(req)
	if err != nil {
		return nil, err
	}
	defer resp.Body.Close()
	a := &answer{code: resp.StatusCode}
	if s, err := strconv.Atoi(resp.Header.Get("Retry-After")); err == nil {
		a.wait = time.Duration(s) * time.Second
	}
	a.body, err = io.ReadAll(io.LimitReader(resp.Body, answerMax))
	return a, err
}
