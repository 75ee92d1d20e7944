package main

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"net"
	"os"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"sync"
	"time"

	gossh "golang.org/x/crypto/ssh"

	"posework/cmd/posework/internal/host"
	"posework/cmd/posework/internal/host/board"
	"posework/cmd/posework/internal/host/codes"
	"posework/cmd/posework/internal/host/door"
	"posework/cmd/posework/internal/marking"
	"posework/cmd/posework/internal/queue"
	"posework/grader/records"
)

type hostCmd struct {
	Serve hostServeCmd `cmd:"" default:"withargs" help:"Serve the course over SSH (also without any word)."`
	Codes hostCodesCmd `cmd:"" help:"Give people one-time codes to come in with."`
}

type hostServeCmd struct {
	Listen    string        `default:":2222" placeholder:"ADDRESS" help:"Address to listen on; port 0 takes any free one."`
	Roster    string        `placeholder:"FILE" predictor:"file" help:"Record this roster first, and let in the people on it alone."`
	HostKey   string        `placeholder:"FILE" predictor:"file" help:"File of the host's key; made when it is missing. In the data folder unless given."`
	Work      string        `placeholder:"DIR" predictor:"folder" help:"Folder for the learners' programs. In the data folder unless given."`
	Board     string        `default:"127.0.0.1:8080" placeholder:"ADDRESS" help:"Address of the board for the room's screen, a page that can only be read; none for no board."`
	HideNames bool          `help:"Show no names on the board; else whoever looks at it may hide them."`
	Sessions  int           `default:"200" help:"How many sessions there may be at a time."`
	PerPerson int           `default:"3" help:"How many of them one person may have."`
	Idle      time.Duration `default:"30m" help:"End a session in which nothing was typed for so long."`
}

// Help is shown by --help.
func (hostServeCmd) Help() string {
	return `Serves the course over SSH: each learner needs an SSH client and nothing else.
They come in by the SSH key that the roster holds of them, or by a one-time code
(posework host codes):

  ssh -p 2222 HOST

Each has their own records, their own cells, and programs of their own, which lie
below the work folder. There is no shell, no forwarding and no transfer of files.
The host's key is made once; its fingerprint is printed, so that clients can
compare it. Several hosts may share records on PostgreSQL (--records postgres://);
they should share the work folder too. What is handed in is then graded by the
first of them, or of the workers (posework worker), that is free.

Who the roster calls an instructor gets the class instead: who is where and who is
stuck, lessons to open and close, examinations, notes, learners' screens to watch,
attempts to reset. The board shows the class on the room's screen; it is a page
on this machine alone unless --board names another address.

SIGINT, SIGTERM and SIGHUP close the host: everybody's work is saved first.

Example:

  posework host --roster crew.csv --listen :2222

Exit status: 0 closed as asked, 1 something is wrong with the roster, 2 could not
be done.`
}

// Run serves.
func (c *hostServeCmd) Run(s *session) error {
	ctx := s.ctx
	if c.Sessions < 1 || c.PerPerson < 1 || c.Idle < time.Minute {
		return errors.New("at least 1 session, 1 a person and 1 minute are needed")
	}
	course, err := s.course()
	if err != nil {
		return err
	}
	keyFile, work, err := c.places()
	if err != nil {
		return err
	}
	key, err := door.Key(keyFile)
	if err != nil {
		return err
	}
	people, err := s.roster(c.Roster)
	if err != nil {
		return err
	}
	store, err := s.store()
	if err != nil {
		return err
	}
	defer store.Close()
	names, err := admit(ctx, store, people)
	if err != nil {
		return err
	}
	log := &lines{to: s.err}
	grader, endWorker, err := s.hostGrader(ctx, store, course, log)
	if err != nil {
		return err
	}
	defer endWorker()
	h, err := host.New(ctx, host.Options{
		Course: course.Course, Version: course.version, Store: store, Key: key, Folder: work, Roster: names, Grader: grader,
		Sessions: c.Sessions, PerPerson: c.PerPerson, Idle: c.Idle, CodeCost: codes.Usual, Now: time.Now, Log: log.add,
	})
	if err != nil {
		return err
	}
	l, err := net.Listen("tcp", c.Listen)
	if err != nil {
		return fmt.Errorf("listen: %w", err)
	}
	defer debug.SetGCPercent(debug.SetGCPercent(host.GCPercent))
	closeBoard, err := c.board(ctx, h, log)
	if err != nil {
		l.Close()
		return err
	}
	defer closeBoard()
	log.add("serving the course on %s", l.Addr())
	log.add("host key %s", gossh.FingerprintSHA256(key.PublicKey()))
	if err := h.Serve(ctx, l); err != nil {
		return err
	}
	log.add("closed; everything is saved")
	return nil
}

// hostGrader returns what grades hand-ins: where the records are on PostgreSQL, the
// queue beside them, for which this process works too until it is told to end, so
// that what is handed in is graded whether or not there are other workers; else
// nil, and the host grades by itself.
func (s *session) hostGrader(ctx context.Context, store *records.Store, c *course, log *lines) (marking.Grader, func(), error) {
	if _, lite := records.File(s.place()); lite {
		return nil, func() {}, nil
	}
	q, err := queue.Open(ctx, store)
	if err != nil {
		return nil, nil, err
	}
	q.Build = programVersion()
	ctx, stop := context.WithCancel(context.WithoutCancel(ctx))
	done := make(chan struct{})
	go func() {
		defer close(done)
		err := q.Work(ctx, queue.Worker{
			Local: &marking.Local{Course: c.Course, Version: c.version}, Cores: runtime.NumCPU(), Grace: workerGrace,
			Say: func(text string) { log.add("%s", text) },
		})
		if err != nil && ctx.Err() == nil {
			log.add("grading: %v", err)
		}
	}()
	return q, func() { stop(); <-done }, nil
}

// workerGrace is the time for what is being graded when a host closes.
const workerGrace = 10 * time.Second

// board shows the board, if it is wanted, until the function that it returns is
// called.
func (c *hostServeCmd) board(ctx context.Context, h *host.Host, log *lines) (func(), error) {
	if c.Board == "none" {
		return func() {}, nil
	}
	l, err := net.Listen("tcp", c.Board)
	if err != nil {
		return nil, fmt.Errorf("the board: %w; name another address with --board, or none", err)
	}
	name, _, err := net.SplitHostPort(c.Board)
	if err != nil {
		return nil, fmt.Errorf("the board: %w", err)
	}
	b := &board.Board{Room: h.Room, HideNames: c.HideNames, Host: name}
	ctx, stop := context.WithCancel(ctx)
	done := make(chan struct{})
	go func() {
		defer close(done)
		if err := b.Serve(ctx, l); err != nil {
			log.add("%v", err)
		}
	}()
	log.add("the board is at http://%s/", l.Addr())
	return func() { stop(); <-done }, nil
}

// places returns where the host's key and the learners' programs lie.
func (c *hostServeCmd) places() (key, work string, err error) {
	key, work = c.HostKey, c.Work
	if key != "" && work != "" {
		return key, work, nil
	}
	data := records.DefaultPath(os.Getenv)
	if data == "" {
		return "", "", errors.New("there is no data folder: set HOME or XDG_DATA_HOME, or name --host-key and --work")
	}
	data = filepath.Dir(data)
	if key == "" {
		key = filepath.Join(data, "host-key")
	}
	if work == "" {
		work = filepath.Join(data, "work")
	}
	return key, work, nil
}

// admit records a roster, if there is one, and returns who may come in; nil for
// everybody whom the records know.
func admit(ctx context.Context, store *records.Store, people []records.Person) ([]string, error) {
	if people == nil {
		return nil, nil
	}
	names := make([]string, len(people))
	rows := make([]records.Row, len(people))
	for i := range people {
		names[i], rows[i] = people[i].Name, &people[i]
	}
	_, err := store.Add(ctx, rows...)
	return names, err
}

// lines writes lines for whoever runs a command, from several goroutines.
type lines struct {
	mu sync.Mutex
	to io.Writer
}

func (l *lines) add(format string, args ...any) {
	l.mu.Lock()
	defer l.mu.Unlock()
	fmt.Fprintf(l.to, "posework: "+format+"\n", args...)
}

type hostCodesCmd struct {
	Names  []string `arg:"" optional:"" help:"People, as the records name them."`
	Roster string   `placeholder:"FILE" predictor:"file" help:"Record this roster first, and give codes to all of its people without a key."`
	Days   int      `default:"14" help:"How many days the codes hold."`
}

// Help is shown by --help.
func (hostCodesCmd) Help() string {
	return `Makes a one-time code for each person named, and for everybody on the roster who
has no SSH key, and prints name and code, to be handed to that person alone. Only
a hash of the code is kept. A new code makes a person's older one void; whoever
comes in with a code is shown the next one.

Examples:

  posework host codes "Jo Fenwick"
  posework host codes --roster crew.csv

Exit status: 0 made, 1 something is wrong with the roster, 2 could not be done.`
}

// mostCodeDays keeps codes from being forgotten.
const mostCodeDays = 366

// Run makes codes.
func (c *hostCodesCmd) Run(s *session) error {
	if c.Days < 1 || c.Days > mostCodeDays {
		return fmt.Errorf("codes hold from 1 to %d days", mostCodeDays)
	}
	people, err := s.roster(c.Roster)
	if err != nil {
		return err
	}
	if len(c.Names) == 0 && people == nil {
		return errors.New("name people, or a roster with --roster")
	}
	store, err := s.store()
	if err != nil {
		return err
	}
	defer store.Close()
	if _, err := admit(s.ctx, store, people); err != nil {
		return err
	}
	var names []string
	for i := range people {
		if people[i].Key == "" {
			names = append(names, people[i].Name)
		}
	}
	for _, n := range c.Names {
		p, err := store.Person(s.ctx, n)
		if err != nil {
			return fmt.Errorf("%w; posework records import reads a roster", err)
		}
		names = append(names, p.Name)
	}
	return s.giveCodes(store, names, c.Days)
}

// giveCodes makes codes, all of them or none, and prints them.
func (s *session) giveCodes(store *records.Store, names []string, days int) error {
	now := time.Now()
	rows := make([]records.Row, len(names))
	made := make([]string, len(names))
	for i, name := range names {
		code, row, err := codes.New(rand.Reader, codes.Usual)
		if err != nil {
			return err
		}
		row.Person, row.At, row.Until = name, now, now.AddDate(0, 0, days)
		made[i], rows[i] = code, &row
	}
	if _, err := store.Add(s.ctx, rows...); err != nil {
		return err
	}
	for i, name := range names {
		if _, err := fmt.Fprintf(s.out, "%s  %s\n", made[i], name); err != nil {
			return err
		}
	}
	return nil
}
