package queue

import (
	"bufio"
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"strconv"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"posework/cmd/posework/internal/marking"
	"posework/grader/records"
	"posework/lessons"
)

var (
	// kills is how often workers are killed. The gate asks for more.
	kills = flag.Int("kills", 10, "how often TestKilledWorkers kills a worker")
	// seed draws when which worker is killed.
	seed = flag.Uint64("seed", 0, "seed of TestKilledWorkers; 0: one of its own, printed")
)

// workerEnv makes the test binary a worker on the records of that URL.
const workerEnv = "POSEWORK_TEST_WORKER"

func TestMain(m *testing.M) {
	if dsn := os.Getenv(workerEnv); dsn != "" {
		if err := workUntilKilled(dsn); err != nil {
			fmt.Println("error", err)
			os.Exit(1)
		}
	}
	flag.Parse()
	os.Exit(m.Run())
}

func workUntilKilled(dsn string) error {
	ctx := context.Background()
	c, l := lessons.Load(lessons.Embedded(), ".")
	if len(l) > 0 {
		return l
	}
	store, err := records.Open(ctx, dsn)
	if err != nil {
		return err
	}
	q, err := Open(ctx, store)
	if err != nil {
		return err
	}
	// POSEWORK_TEST_CORES is what a benchmark gives a worker.
	cores, _ := strconv.Atoi(os.Getenv("POSEWORK_TEST_CORES"))
	if cores > 0 {
		runtime.GOMAXPROCS(cores)
	}
	debug.SetGCPercent(300) // as posework worker does
	fmt.Println("open")
	return q.Work(ctx, Worker{Local: &marking.Local{Course: c, Version: "v1"}, Cores: cores,
		Say: func(s string) { fmt.Println("says", s) }})
}

// startWorker starts a process that works, and waits until it is open.
func startWorker(dsn string, env ...string) (*exec.Cmd, error) {
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(append(os.Environ(), workerEnv+"="+dsn), env...)
	cmd.Stderr = os.Stderr
	out, err := cmd.StdoutPipe()
	if err != nil {
		return nil, err
	}
	if err := cmd.Start(); err != nil {
		return nil, err
	}
	r := bufio.NewReader(out)
	if line, err := r.ReadString('\n'); err != nil || line != "open\n" {
		return nil, fmt.Errorf("a worker says %q, %w", line, err)
	}
	go io.Copy(os.Stderr, r)
	return cmd, nil
}

// killWorker ends a process as a power cut would.
func killWorker(cmd *exec.Cmd) error {
	if err := cmd.Process.Kill(); err != nil {
		return err
	}
	if err := cmd.Wait(); err == nil || !strings.Contains(err.Error(), "killed") {
		return fmt.Errorf("a worker ended with %v, want killed", err)
	}
	return nil
}

// killAtRandom keeps two workers at work, and kills one of them n times. Then it
// calls last, and ends both.
func killAtRandom(dsn string, rnd *rand.Rand, n int, last func()) error {
	var pair [2]*exec.Cmd
	var err error
	for i := range pair {
		if pair[i], err = startWorker(dsn); err != nil {
			last()
			return err
		}
	}
	for range n {
		time.Sleep(time.Duration(rnd.IntN(600_000)) * time.Microsecond)
		i := rnd.IntN(2)
		if err = killWorker(pair[i]); err == nil {
			pair[i], err = startWorker(dsn)
		}
		if err != nil {
			break
		}
	}
	last()
	return errors.Join(err, killWorker(pair[0]), killWorker(pair[1]))
}

// TestKilledWorkers kills workers with SIGKILL at random moments while programs
// are handed in. None may be lost, and none may count twice.
func TestKilledWorkers(t *testing.T) {
	if *seed == 0 {
		*seed = uint64(time.Now().UnixNano())
	}
	t.Logf("%d kills, seed %d", *kills, *seed)
	rnd := rand.New(rand.NewPCG(*seed, 1))
	dsn := schema(t)
	q, l := open(t, dsn), local(t)
	texts := [][]byte{program(t, l, "good-step-by-step.yaml"), program(t, l, "flawed-fast-approach.yaml"), program(t, l, "good-with-routines.yaml")}
	verdicts := []records.Verdict{records.Passed, records.NotPassed, records.Passed}

	var over atomic.Bool
	handed := 0
	jobs := func(yield func(marking.Job) bool) {
		for ; !over.Load(); handed++ {
			j := marking.Job{Key: marking.Key("killed", fmt.Sprint(handed)), Learner: fmt.Sprintf("Learner %d", handed%40), Lesson: lessonID,
				File: filepath.Join("p", fmt.Sprint(handed)), Text: texts[handed%3], Course: "v1", At: at(), Keep: true}
			if !yield(j) {
				return
			}
		}
	}
	finished, killed := make(chan struct{}), make(chan error, 1)
	go func() {
		killed <- killAtRandom(dsn, rnd, *kills, func() {
			over.Store(true)
			<-finished // the last two workers grade what is left
		})
	}()

	got := 0
	for r, err := range marking.Stream(t.Context(), 60, jobs, q.Grade) {
		if err != nil {
			t.Fatal(err)
		}
		if r.Mark == nil || r.Attempt == 0 || r.Mark.Passed != (verdicts[got%3] == records.Passed) || r.Job.Key != marking.Key("killed", fmt.Sprint(got)) {
			t.Fatalf("result %d is %+v", got, r)
		}
		got++
	}
	close(finished)
	if err := <-killed; err != nil {
		t.Error(err)
	}
	if got != handed || got < 2**kills {
		t.Errorf("%d results of %d programs", got, handed)
	}
	counts := map[string]int{}
	for a, err := range q.store.AllAttempts(t.Context(), records.AttemptFilter{}) {
		if err != nil {
			t.Fatal(err)
		}
		counts[a.Job]++
	}
	for i := range handed {
		if n := counts[marking.Key("killed", fmt.Sprint(i))]; n != 1 {
			t.Errorf("program %d was recorded %d times", i, n)
		}
	}
	if len(counts) != handed {
		t.Errorf("%d attempts of %d programs", len(counts), handed)
	}
	var again int
	if err := q.db.QueryRowContext(t.Context(), "SELECT count(*) FROM river_job WHERE cardinality(errors) > 0").Scan(&again); err != nil {
		t.Error(err)
	}
	t.Logf("%d programs, %d of them were in the hands of a worker that was killed", handed, again)
}
