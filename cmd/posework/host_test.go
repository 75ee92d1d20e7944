package main

import (
	"context"
	"crypto/ed25519"
	"crypto/rand"
	"io"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	gossh "golang.org/x/crypto/ssh"

	"posework/grader/records"
)

// output keeps what a command writes, for a test that reads it meanwhile.
type output struct {
	mu   sync.Mutex
	text strings.Builder
}

func (o *output) Write(p []byte) (int, error) {
	o.mu.Lock()
	defer o.mu.Unlock()
	return o.text.Write(p)
}

// find waits for text that fits and returns what the first group is.
func (o *output) find(t *testing.T, pattern string) string {
	t.Helper()
	re := regexp.MustCompile(pattern)
	for end := time.Now().Add(30 * time.Second); ; time.Sleep(10 * time.Millisecond) {
		o.mu.Lock()
		text := o.text.String()
		o.mu.Unlock()
		if m := re.FindStringSubmatch(text); m != nil {
			return m[len(m)-1]
		}
		if time.Now().After(end) {
			t.Fatalf("%s does not appear in\n%s", pattern, text)
		}
	}
}

// The whole of it: a roster, a host with its key and board, a learner who comes in
// at the prompts, and the end.
func TestHost(t *testing.T) {
	dir := t.TempDir()
	t.Setenv("XDG_DATA_HOME", dir)
	_, private, err := ed25519.GenerateKey(rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	signer, err := gossh.NewSignerFromKey(private)
	if err != nil {
		t.Fatal(err)
	}
	roster := filepath.Join(dir, "crew.csv")
	line := "name,key\nJo Fenwick," + string(gossh.MarshalAuthorizedKey(signer.PublicKey()))
	if err := os.WriteFile(roster, []byte(line), 0o600); err != nil {
		t.Fatal(err)
	}
	fingerprints := map[string]bool{}
	for range 2 { // the second time with the same key
		ctx, stop := context.WithCancel(t.Context())
		var out, log output
		done := make(chan int, 1)
		go func() {
			done <- run(ctx, []string{"host", "--listen", "127.0.0.1:0", "--board", "127.0.0.1:0", "--roster", roster}, strings.NewReader(""), &out, &log)
		}()
		addr := log.find(t, `serving the course on (\S+)`)
		fingerprint := log.find(t, `host key (SHA256:\S+)`)
		fingerprints[fingerprint] = true
		page, err := http.Get(log.find(t, `the board is at (\S+)`))
		if err != nil {
			t.Fatal(err)
		}
		text, err := io.ReadAll(page.Body)
		page.Body.Close()
		if err != nil || !strings.Contains(string(text), "0 learners") {
			t.Errorf("the board shows %s, %v", text, err)
		}
		client, err := gossh.Dial("tcp", addr, &gossh.ClientConfig{
			User: "anybody", Auth: []gossh.AuthMethod{gossh.PublicKeys(signer)},
			HostKeyCallback: func(_ string, _ net.Addr, key gossh.PublicKey) error {
				if got := gossh.FingerprintSHA256(key); got != fingerprint {
					t.Errorf("the host has the key %s, and says %s", got, fingerprint)
				}
				return nil
			},
		})
		if err != nil {
			t.Fatal(err)
		}
		s, err := client.NewSession()
		if err != nil {
			t.Fatal(err)
		}
		var screen output
		s.Stdout = &screen
		if _, err := s.StdinPipe(); err != nil {
			t.Fatal(err)
		}
		if err := s.Shell(); err != nil {
			t.Fatal(err)
		}
		screen.find(t, `Learner: Jo Fenwick`)
		stop()
		screen.find(t, `This host is closing`)
		if code := <-done; code != 0 {
			t.Errorf("exit status %d", code)
		}
		log.find(t, `closed; everything is saved`)
		client.Close()
	}
	if len(fingerprints) != 1 {
		t.Errorf("the host has the keys %v", fingerprints)
	}
	if info, err := os.Stat(filepath.Join(dir, "posework", "host-key")); err != nil || info.Mode().Perm()&0o077 != 0 {
		t.Errorf("the key's file: %v, %v", info, err)
	}
}

// guest opens a session at the prompts of a host.
func guest(t *testing.T, addr string, auth gossh.AuthMethod) (keys io.Writer, screen *output, err error) {
	t.Helper()
	client, err := gossh.Dial("tcp", addr, &gossh.ClientConfig{
		User: "anybody", Auth: []gossh.AuthMethod{auth}, HostKeyCallback: gossh.InsecureIgnoreHostKey(),
	})
	if err != nil {
		return nil, nil, err
	}
	t.Cleanup(func() { client.Close() })
	s, err := client.NewSession()
	if err != nil {
		t.Fatal(err)
	}
	screen = &output{}
	s.Stdout = screen
	if keys, err = s.StdinPipe(); err != nil {
		t.Fatal(err)
	}
	if err := s.Shell(); err != nil {
		t.Fatal(err)
	}
	return keys, screen, nil
}

// Several hosts on one database are one: a code that was used at one is used up at
// the others, what is ruled at one holds at all, and what is handed in is graded
// once, by whichever is free.
func TestTwoHostsOneDatabase(t *testing.T) {
	dsn := postgres(t)
	dir := t.TempDir()
	t.Setenv("XDG_DATA_HOME", dir)
	roster := filepath.Join(dir, "crew.csv")
	if err := os.WriteFile(roster, []byte("name,role\nJo Fenwick,\nTom Ashdown,instructor\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	code, codes, wrong := call(t, "", "--records", dsn, "host", "codes", "--roster", roster)
	if code != 0 {
		t.Fatal(wrong)
	}
	jo := regexp.MustCompile(`(\S+)  Jo Fenwick`).FindStringSubmatch(codes)[1]
	tom := regexp.MustCompile(`(\S+)  Tom Ashdown`).FindStringSubmatch(codes)[1]
	typing := func(code string) gossh.AuthMethod {
		asked := false
		return gossh.KeyboardInteractive(func(_, _ string, questions []string, _ []bool) ([]string, error) {
			if len(questions) == 0 {
				return nil, nil
			}
			if asked {
				return nil, io.EOF
			}
			asked = true
			return []string{code}, nil
		})
	}
	ctx, stop := context.WithCancel(t.Context())
	var ended sync.WaitGroup
	defer ended.Wait()
	defer stop()
	var addrs []string
	for range 2 {
		var log output
		ended.Go(func() {
			args := []string{"--records", dsn, "host", "--listen", "127.0.0.1:0", "--board", "none", "--roster", roster}
			if code := run(ctx, args, strings.NewReader(""), io.Discard, &log); code != 0 {
				t.Errorf("exit status %d", code)
			}
		})
		addrs = append(addrs, log.find(t, `serving the course on (\S+)`))
	}
	keys, screen, err := guest(t, addrs[0], typing(jo))
	if err != nil {
		t.Fatal(err)
	}
	if _, _, err := guest(t, addrs[1], typing(jo)); err == nil {
		t.Error("a code that was used at one host lets in at another")
	}
	next := screen.find(t, `with this one: (\S+)\.`)
	io.WriteString(keys, "11\np\nrecord home\nleave\nh\n")
	screen.find(t, `NOT GRADED`)
	list := attempts(t, dsn)
	if len(list) != 1 || list[0].Person != "Jo Fenwick" {
		t.Errorf("attempts %+v", list)
	}

	// The instructor, at the other host, closes the lesson.
	store, err := records.Open(t.Context(), dsn)
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	if _, _, err := guest(t, addrs[1], typing(tom)); err != nil {
		t.Fatal(err)
	}
	if _, err := store.AddRuling(t.Context(), records.Ruling{Site: "main", By: "Tom Ashdown", Kind: "close", Lesson: "home-pose", At: time.Now()}); err != nil {
		t.Fatal(err)
	}
	for i, addr := range addrs {
		if i == 1 {
			if keys, screen, err = guest(t, addr, typing(next)); err != nil {
				t.Fatal(err)
			}
		}
		for end := time.Now().Add(30 * time.Second); ; {
			io.WriteString(keys, "b\n11\n")
			time.Sleep(200 * time.Millisecond)
			screen.mu.Lock()
			closed := strings.Contains(screen.text.String(), "The instructor has closed this lesson for now")
			screen.mu.Unlock()
			if closed {
				break
			}
			if time.Now().After(end) {
				t.Fatalf("the lesson stays open at host %d:\n%s", i, screen.text.String())
			}
		}
	}
}
