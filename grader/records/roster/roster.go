// Package roster reads a roster: a table of people in a CSV file (RFC 4180), as
// spreadsheets write it, with one line of column names first:
//
//	name,crew,site,role,key
//	Ines Calloway,day,harrow-mere,learner,ssh-ed25519 AAAA... ines@desk
//	Tom Ashdown,night,harrow-mere,instructor,
//
// Only name is needed; the columns may come in any order. Commas, semicolons and
// tabs serve as separators. It checks what it reads and records nothing; what it
// finds wrong is reported with line and column, all at once.
package roster

import (
	"bytes"
	"cmp"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"golang.org/x/crypto/ssh"

	"posework/engine/diag"
	"posework/grader/records"
)

// Limits. Errors name them.
const (
	MaxBytes  = 8 << 20
	MaxPeople = 100_000
	maxErrors = 1000 // more are not looked for
)

// columns are the known column names.
var columns = []string{"name", "crew", "site", "role", "key"}

// Read reads the roster in data and returns its people, with at as the time of
// their roster entries. The list says what is wrong with the file called name;
// there are no people then.
func Read(name string, data []byte, at time.Time) ([]records.Person, diag.List) {
	r := &reader{file: name, data: bytes.TrimPrefix(data, []byte("\ufeff")), at: at,
		names: map[string]diag.Pos{}, keys: map[string]diag.Pos{}}
	r.read()
	r.list.Sort()
	if len(r.list) > 0 {
		return nil, r.list
	}
	return r.people, nil
}

type reader struct {
	file   string
	data   []byte
	lines  [][]byte
	at     time.Time
	csv    *csv.Reader
	column []string // name of each column, "" for one that is unknown
	people []records.Person
	names  map[string]diag.Pos // folded name -> where it stands
	keys   map[string]diag.Pos
	list   diag.List
}

func (r *reader) read() {
	if len(r.data) > MaxBytes {
		r.list.Add(r.pos(1, 1), "R001", "split it", "the roster has %d bytes, but at most %d are read", len(r.data), MaxBytes)
		return
	}
	if line, col, ok := badUTF8(r.data); ok {
		r.list.Add(r.pos(line, col), "R002", "save it as CSV UTF-8", "the text is not valid UTF-8 here")
		return
	}
	r.lines = bytes.SplitAfter(r.data, []byte("\n"))
	r.csv = csv.NewReader(bytes.NewReader(r.data))
	r.csv.FieldsPerRecord = -1
	r.csv.ReuseRecord = true
	r.csv.Comma = separator(r.data)
	head, err := r.csv.Read()
	if err == io.EOF {
		r.list.Add(r.pos(1, 1), "R003", "begin with the line name,crew,site,role,key", "the roster is empty")
		return
	}
	if !r.ok(err) || !r.header(head) {
		return
	}
	for len(r.list) < maxErrors {
		row, err := r.csv.Read()
		if err == io.EOF {
			break
		}
		if !r.ok(err) {
			return
		}
		if len(r.people) == MaxPeople {
			r.list.Add(r.field(0), "R001", "split it", "the roster has more than %d people", MaxPeople)
			return
		}
		r.row(row)
	}
	if len(r.people) == 0 && len(r.list) == 0 {
		r.list.Add(r.pos(1, 1), "R003", "add one line a person", "the roster has no people below its column names")
	}
}

func (r *reader) pos(line, col int) diag.Pos {
	return diag.Pos{Filename: r.file, Line: line, Column: col}
}

// field returns where field i of the present row begins.
func (r *reader) field(i int) diag.Pos {
	line, col := r.csv.FieldPos(i)
	return r.pos(line, r.runes(line, col))
}

// runes turns a column that counts bytes into one that counts characters.
func (r *reader) runes(line, col int) int {
	if line < 1 || line > len(r.lines) {
		return col
	}
	text := r.lines[line-1]
	return utf8.RuneCount(text[:min(col-1, len(text))]) + 1
}

// ok reports an error in the form of the table.
func (r *reader) ok(err error) bool {
	var bad *csv.ParseError
	if !errors.As(err, &bad) {
		return err == nil
	}
	text, fix := "the quotes are wrong", `put the whole value in quotes, and write " inside it as ""`
	if errors.Is(bad.Err, csv.ErrQuote) && bad.StartLine != bad.Line {
		text = fmt.Sprintf("the quotes that begin in line %d don't end", bad.StartLine)
	}
	r.list.Add(r.pos(bad.Line, r.runes(bad.Line, bad.Column)), "R004", fix, "%s", text)
	return false
}

// header reads the column names.
func (r *reader) header(head []string) bool {
	for i, word := range head {
		word = strings.ToLower(strings.TrimSpace(word))
		switch {
		case word != "" && !slices.Contains(columns, word):
			fix := "use only " + strings.Join(columns, ", ")
			if near := diag.Nearest(word, columns); near != "" {
				fix = "write " + near
			}
			r.list.Add(r.field(i), "R005", fix, "the column %q is unknown", word)
			word = ""
		case word != "" && slices.Contains(r.column, word):
			r.list.Add(r.field(i), "R005", "leave one out", "the column %q stands twice", word)
		}
		r.column = append(r.column, word)
	}
	if !slices.Contains(r.column, "name") && len(r.list) == 0 {
		r.list.Add(r.pos(1, 1), "R005", "begin with the line name,crew,site,role,key", "there is no column name")
	}
	return len(r.list) == 0
}

// row reads one person. Empty rows are passed over.
func (r *reader) row(row []string) {
	p := records.Person{At: r.at}
	where := map[string]diag.Pos{"name": r.field(0)}
	empty := true
	for i, v := range row {
		v = strings.TrimSpace(v)
		empty = empty && v == ""
		if i >= len(r.column) {
			if v != "" {
				r.list.Add(r.field(i), "R006", "remove it, or put the value before it in quotes", "the value %q has no column", clip(v))
			}
			continue
		}
		where[r.column[i]] = r.field(i)
		switch r.column[i] {
		case "name":
			p.Name = v
		case "crew":
			p.Crew = v
		case "site":
			p.Site = v
		case "role":
			p.Role = strings.ToLower(v)
		case "key":
			p.Key = v
		}
	}
	if empty {
		return
	}
	before := len(r.list)
	r.name(&p, where["name"])
	r.key(&p, where["key"])
	r.words(&p, where)
	if len(r.list) == before {
		r.people = append(r.people, p)
	}
}

func clip(s string) string {
	if utf8.RuneCountInString(s) > 40 {
		return string([]rune(s)[:40]) + "..."
	}
	return s
}

func (r *reader) name(p *records.Person, at diag.Pos) {
	n, err := records.Name(p.Name)
	if err != nil {
		r.list.Add(at, "R007", "", "%v", err)
		return
	}
	p.Name = n
	key := records.Fold(n)
	if first, twice := r.names[key]; twice {
		r.list.Add(at, "R008", "tell people of one name apart, as in Ines Calloway 2", "%s stands in line %d already", n, first.Line)
		return
	}
	r.names[key] = at
}

func (r *reader) key(p *records.Person, at diag.Pos) {
	if p.Key == "" {
		return
	}
	pub, _, options, rest, err := ssh.ParseAuthorizedKey([]byte(p.Key))
	switch {
	case err != nil:
		r.list.Add(at, "R009", "copy the one line of the person's .pub file", "the key %q is not an SSH public key", clip(p.Key))
		return
	case len(options) > 0 || len(rest) > 0:
		r.list.Add(at, "R009", "copy the one line of the person's .pub file", "the key has more than type, key and comment")
		return
	}
	p.Key = strings.TrimSpace(string(ssh.MarshalAuthorizedKey(pub)))
	if first, twice := r.keys[p.Key]; twice {
		r.list.Add(at, "R010", "give each person a key of their own", "the key stands in line %d already", first.Line)
		return
	}
	r.keys[p.Key] = at
}

// words checks what is left.
func (r *reader) words(p *records.Person, where map[string]diag.Pos) {
	for _, w := range []struct {
		column string
		value  *string
	}{{"crew", &p.Crew}, {"site", &p.Site}} {
		if err := records.Word(w.column, *w.value); err != nil {
			r.list.Add(where[w.column], "R011", "", "%v", err)
		}
	}
	roles := []string{records.Learner, records.Instructor}
	if p.Role != "" && !slices.Contains(roles, p.Role) {
		fix := cmp.Or(diag.Nearest(p.Role, roles), "learner or instructor")
		r.list.Add(where["role"], "R011", "write "+fix, "the role %q is unknown", clip(p.Role))
	}
}

// separator returns the character that separates the column names.
func separator(data []byte) rune {
	line, _, _ := bytes.Cut(data, []byte("\n"))
	best, most := ',', bytes.Count(line, []byte(","))
	for _, c := range ";\t" {
		if n := bytes.Count(line, []byte(string(c))); n > most {
			best, most = c, n
		}
	}
	return best
}

// badUTF8 returns the first place that is not valid UTF-8.
func badUTF8(data []byte) (line, col int, found bool) {
	line, col = 1, 1
	for len(data) > 0 {
		c, n := utf8.DecodeRune(data)
		if c == utf8.RuneError && n == 1 {
			return line, col, true
		}
		if data = data[n:]; c == '\n' {
			line, col = line+1, 1
		} else {
			col++
		}
	}
	return 0, 0, false
}
