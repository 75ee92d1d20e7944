package records

import (
	"bufio"
	"context"
	"flag"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"
)

// kills is how often the writing process is killed. CI runs 200.
var kills = flag.Int("kills", envInt("POSEWORK_TEST_KILLS", 20), "how often TestKilled kills the writing process")

func envInt(name string, otherwise int) int {
	if n, err := strconv.Atoi(os.Getenv(name)); err == nil {
		return n
	}
	return otherwise
}

// writerEnv makes the test binary a process that writes until it is killed.
const writerEnv = "POSEWORK_TEST_WRITER"

func TestMain(m *testing.M) {
	if dsn := os.Getenv(writerEnv); dsn != "" {
		writeForever(dsn, os.Args[len(os.Args)-1])
	}
	flag.Parse()
	os.Exit(m.Run())
}

// killedProgram is long enough to spread over several pages of the database.
func killedProgram(job string) []byte { return []byte(strings.Repeat("# "+job+"\n", 600)) }

// writeForever records attempts and sign-offs from several callers and prints
// each once it is acknowledged.
func writeForever(dsn, round string) {
	s, err := Open(context.Background(), dsn)
	if err != nil {
		fmt.Println("error", err)
		os.Exit(1)
	}
	fmt.Println("open")
	for w := range 4 {
		go func() {
			for i := 0; ; i++ {
				job := fmt.Sprintf("%s-%d-%d", round, w, i)
				a := attempt(fmt.Sprintf("Learner %d", w), "L07", float64(i%101), i)
				a.Job, a.Program = job, killedProgram(job)
				o := SignOff{Person: a.Person, Typed: a.Person, Deck: "D1", Note: job, Points: 100, Needed: 80, At: at(i)}
				if _, err := s.Add(context.Background(), &a, &o); err != nil {
					fmt.Println("error", err)
					os.Exit(1)
				}
				// One write a line, below the size that a pipe keeps whole.
				fmt.Printf("done %s %d\n", job, o.Place)
			}
		}()
	}
	select {}
}

// TestKilled kills a process with SIGKILL at random moments of writing. What it
// said was recorded must be there, whole; nothing half-written may be.
func TestKilled(t *testing.T) {
	eachPlace(t, func(t *testing.T, p place) {
		const seed = 20260302
		rnd := rand.New(rand.NewPCG(seed, 1))
		dsn := p.dsn(t)
		acked := map[string]int64{} // job -> place of its sign-off
		for round := range *kills {
			killOnce(t, dsn, round, time.Duration(rnd.IntN(60_000))*time.Microsecond, acked)
			if t.Failed() || round%10 != 9 && round != *kills-1 {
				continue
			}
			checkKilled(t, p, dsn, acked)
		}
		t.Logf("%d kills, %d acknowledged writes, seed %d", *kills, len(acked), seed)
		if len(acked) < *kills/2 {
			t.Errorf("only %d writes were acknowledged: the test kills too early", len(acked))
		}
	})
}

// killOnce starts a writer, kills it some time after it began, and collects what
// it acknowledged. In every other round it has begun when it opened the records,
// else with the first write: so that however slow the machine is, some writes are
// whole and some are not.
func killOnce(t *testing.T, dsn string, round int, after time.Duration, acked map[string]int64) {
	t.Helper()
	cmd := exec.Command(os.Args[0], strconv.Itoa(round))
	cmd.Env = append(os.Environ(), writerEnv+"="+dsn)
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	began := make(chan struct{})
	sign := [...]string{"open", "done"}[round%2]
	var once sync.Once
	var read sync.WaitGroup
	read.Go(func() {
		defer once.Do(func() { close(began) })
		lines := bufio.NewReader(out)
		for {
			line, err := lines.ReadString('\n')
			if err != nil { // a line without its end was not acknowledged
				if err != io.EOF {
					t.Errorf("round %d: %v", round, err)
				}
				return
			}
			word := strings.Fields(line)
			if word[0] == sign {
				once.Do(func() { close(began) })
			}
			switch {
			case word[0] == "open":
			case word[0] == "done" && len(word) == 3:
				place, err := strconv.ParseInt(word[2], 10, 64)
				if err != nil {
					t.Errorf("round %d: %v", round, err)
				}
				acked[word[1]] = place
			default:
				t.Errorf("round %d: the writer says %s", round, line)
			}
		}
	})
	<-began
	time.Sleep(after)
	if err := cmd.Process.Kill(); err != nil {
		t.Error(err)
	}
	read.Wait()
	if err := cmd.Wait(); err == nil || !strings.Contains(err.Error(), "killed") {
		t.Errorf("round %d: the writer ended with %v, want killed", round, err)
	}
}

// checkKilled opens what the killed processes left and looks at every row.
func checkKilled(t *testing.T, p place, dsn string, acked map[string]int64) {
	t.Helper()
	s := open(t, dsn)
	defer s.Close()
	if f := verify(t, s); f != nil {
		t.Errorf("faults: %q", f)
	}
	if p.name == "sqlite" {
		var verdict string
		if err := p.raw(t, dsn).QueryRow("PRAGMA integrity_check").Scan(&verdict); err != nil || verdict != "ok" {
			t.Errorf("integrity check: %s, %v", verdict, err)
		}
	}
	counts := map[string]int{}
	found := map[string]bool{}
	for after := int64(0); ; {
		list, err := s.Attempts(t.Context(), AttemptFilter{}, Page{After: after, Limit: 1000})
		if err != nil {
			t.Fatal(err)
		}
		if len(list) == 0 {
			break
		}
		for _, a := range list {
			after = a.ID
			counts[a.Person]++
			found[a.Job] = true
			if string(a.Program) != string(killedProgram(a.Job)) {
				t.Errorf("attempt %s is not whole: %.60s", a.Job, a.Program)
			}
		}
	}
	noted := map[string]int64{}
	for after := int64(0); ; {
		list, err := s.Entries(t.Context(), DefaultSite, Page{After: after, Limit: 1000})
		if err != nil {
			t.Fatal(err)
		}
		if len(list) == 0 {
			break
		}
		for _, e := range list {
			after = e.ID
			noted[e.Signer.Note] = e.Place
			if !found[e.Signer.Note] {
				t.Errorf("sign-off %s is there without its attempt", e.Signer.Note)
			}
		}
	}
	if len(noted) != len(found) {
		t.Errorf("%d attempts, but %d sign-offs", len(found), len(noted))
	}
	for job, place := range acked {
		if !found[job] || noted[job] != place {
			t.Errorf("acknowledged %s is lost: attempt %v, sign-off at %d, want %d", job, found[job], noted[job], place)
		}
	}
	for person, n := range counts {
		got, err := s.Progress(t.Context(), person)
		if err != nil || len(got) != 1 || got[0].Attempts != n {
			t.Errorf("progress of %s is %v, %v, want %d attempts", person, got, err, n)
		}
	}
}
