package host

import (
	"context"
	"crypto/rand"
	"errors"
	"strings"
	"time"

	"github.com/charmbracelet/ssh"
	gossh "golang.org/x/crypto/ssh"

	"posework/cmd/posework/internal/host/codes"
	"posework/cmd/posework/internal/host/door"
	"posework/grader/records"
)

// What a login leaves with the connection. It is bound to the way in that
// succeeded, by the SSH library: a key that was only asked about leaves nothing.
const (
	personExt = "posework-person"
	codeExt   = "posework-code" // there when a code was used up
)

// login decides who comes in.
type login struct {
	store   *records.Store
	roster  map[string]bool // folded names; nil: everybody whom the records know
	tries   *door.Tries
	checker *codes.Checker
	working chan struct{} // as many codes are checked at a time as it has room for
	now     func() time.Time
	random  func() (string, records.Code, error)
}

func newLogin(store *records.Store, names []string, now func() time.Time, cost int) (*login, error) {
	checker, err := codes.NewChecker(cost)
	if err != nil {
		return nil, err
	}
	l := &login{
		store: store, tries: door.UsualTries(now), checker: checker, working: make(chan struct{}, 2), now: now,
		random: func() (string, records.Code, error) { return codes.New(rand.Reader, cost) },
	}
	if names != nil {
		l.roster = map[string]bool{}
		for _, n := range names {
			l.roster[records.Fold(n)] = true
		}
	}
	return l, nil
}

// expected reports whether a person may come in at all.
func (l *login) expected(name string) bool { return l.roster == nil || l.roster[records.Fold(name)] }

// byKey lets in the person whose key it is. The SSH library asks before the client
// has shown that it has the key, and lets nobody in without that.
func (l *login) byKey(ctx ssh.Context, key ssh.PublicKey) bool {
	p, err := l.store.PersonByKey(ctx, strings.TrimSpace(string(gossh.MarshalAuthorizedKey(key))))
	if err != nil || !l.expected(p.Name) {
		return false
	}
	ctx.Permissions().Extensions = map[string]string{personExt: p.Name}
	return true
}

// asked is how often a code may be typed on one connection.
const asked = 3

// byCode asks for a one-time code and lets in the person whose it is.
func (l *login) byCode(ctx ssh.Context, ask gossh.KeyboardInteractiveChallenge) bool {
	place := door.Place(ctx.RemoteAddr())
	say := "posework: a course in safe motion programs.\nYour key is not known here. Type the one-time code that you were given."
	for range asked {
		if !l.tries.Allowed(place) {
			_, _ = ask("", "Too many wrong codes came from here. Try again in some minutes.", nil, nil)
			return false
		}
		answers, err := ask("", say, []string{"Code: "}, []bool{true})
		if err != nil || len(answers) != 1 {
			return false
		}
		name, err := l.use(ctx, answers[0])
		switch {
		case err == nil:
			ctx.Permissions().Extensions = map[string]string{personExt: name, codeExt: "used"}
			return true
		case errors.Is(err, errNoCode):
			l.tries.Missed(place)
			say = "This code lets nobody in: it is mistyped, or was used, or is too old."
		default:
			say = "The records can't be read now. Tell your instructor."
		}
	}
	return false
}

var errNoCode = errors.New("the code lets nobody in")

// use uses a code up and returns whose it was.
func (l *login) use(ctx context.Context, typed string) (string, error) {
	select {
	case l.working <- struct{}{}:
		defer func() { <-l.working }()
	case <-ctx.Done():
		return "", ctx.Err()
	}
	var among []records.Code
	if label, err := codes.Label(typed); err == nil {
		if among, err = l.store.Codes(ctx, label, l.now()); err != nil {
			return "", err
		}
	}
	c := l.checker.Match(typed, among)
	if c == nil || !l.expected(c.Person) {
		return "", errNoCode
	}
	err := l.store.UseCode(ctx, c.ID, l.now())
	if errors.Is(err, records.ErrUsed) {
		return "", errNoCode
	}
	return c.Person, err
}

// codeDays is how long a code holds.
const codeDays = 14

// next gives a person the code for the next time.
func (l *login) next(ctx context.Context, person string) (string, error) {
	code, row, err := l.random()
	if err != nil {
		return "", err
	}
	row.Person, row.At, row.Until = person, l.now(), l.now().AddDate(0, 0, codeDays)
	_, err = l.store.Add(ctx, &row)
	return code, err
}
