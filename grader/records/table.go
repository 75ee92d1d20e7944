package records

import (
	"bytes"
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
)

// kind is what a column holds, in a database and in a backup.
type kind uint8

const (
	whole  kind = iota // int64
	maybe              // int64 or null
	real64             // float64
	called             // a person's name
	word               // short text without invisible characters
	blank              // the same, but it may be empty
	option             // the same, or null
	free               // text
	object             // JSON as text
	blob               // bytes; base64 in a backup
)

type column struct {
	name string
	kind kind
}

// table is one that a backup holds. What is computed from others is not in it.
type table struct {
	name    string
	counted bool // rows have an id that the database counts up
	columns []column
}

// tables lists them in an order in which they can be filled.
func tables() []table {
	return []table{
		{"person", true, []column{{"id", whole}, {"name", called}, {"fold", free}, {"at", whole}}},
		{"roster", true, []column{{"id", whole}, {"person", whole}, {"crew", blank}, {"site", word}, {"role", word}, {"key", free}, {"at", whole}}},
		{"attempt", true, []column{{"id", whole}, {"person", whole}, {"lesson", word}, {"program", blob}, {"seed", whole}, {"verdict", word},
			{"points", real64}, {"duration", whole}, {"course", blank}, {"findings", object}, {"job", option}, {"corrects", maybe}, {"at", whole}}},
		{"answer", true, []column{{"id", whole}, {"person", whole}, {"deck", word}, {"question", word}, {"given", free}, {"correct", whole},
			{"duration", whole}, {"course", blank}, {"at", whole}}},
		{"practice", true, []column{{"id", whole}, {"person", whole}, {"lesson", word}, {"seed", whole}, {"kind", word}, {"data", object}, {"at", whole}}},
		{"site", false, []column{{"name", word}, {"places", whole}, {"head", blob}}},
		{"chain", true, []column{{"id", whole}, {"site", word}, {"place", whole}, {"kind", word}, {"deck", blank}, {"course", blank},
			{"points", real64}, {"needed", real64}, {"passed", whole}, {"corrects", whole}, {"detail", object}, {"at", whole},
			{"commitment", blob}, {"prev", blob}, {"hash", blob}}},
		{"signer", false, []column{{"chain", whole}, {"person", whole}, {"deck", word}, {"name", called}, {"typed", free}, {"crew", blank},
			{"note", free}, {"salt", blob}}},
	}
}

// key returns the column by which the rows of a table are ordered.
func (t table) key() string { return t.columns[0].name }

// names returns the columns, separated by commas.
func (t table) names() string {
	names := make([]string, len(t.columns))
	for i, c := range t.columns {
		names[i] = c.name
	}
	return strings.Join(names, ", ")
}

// insert returns the statement that writes one row.
func (t table) insert() string {
	marks := make([]string, len(t.columns))
	for i := range t.columns {
		marks[i] = fmt.Sprintf("$%d", i+1)
	}
	return "INSERT INTO " + t.name + " (" + t.names() + ") VALUES (" + strings.Join(marks, ", ") + ")"
}

// dest returns what a row is scanned into.
func (t table) dest() []any {
	out := make([]any, len(t.columns))
	for i, c := range t.columns {
		switch c.kind {
		case whole:
			out[i] = new(int64)
		case maybe:
			out[i] = new(*int64)
		case real64:
			out[i] = new(float64)
		case option:
			out[i] = new(*string)
		case blob:
			out[i] = new([]byte)
		default:
			out[i] = new(string)
		}
	}
	return out
}

// encode writes a scanned row as a JSON object; bytes become base64 by
// themselves.
func (t table) encode(row []any) ([]byte, error) {
	var b bytes.Buffer
	b.WriteByte('{')
	for i, c := range t.columns {
		v, err := json.Marshal(row[i])
		if err != nil {
			return nil, err
		}
		if i > 0 {
			b.WriteByte(',')
		}
		fmt.Fprintf(&b, "%q:%s", c.name, v)
	}
	b.WriteByte('}')
	return b.Bytes(), nil
}

// decode reads what encode wrote and checks it as strictly as rows from
// elsewhere are checked.
func (t table) decode(data []byte) ([]any, error) {
	var fields map[string]json.RawMessage
	if err := json.Unmarshal(data, &fields); err != nil {
		return nil, errors.New("is not a row")
	}
	out := make([]any, len(t.columns))
	for i, c := range t.columns {
		raw, ok := fields[c.name]
		if !ok {
			return nil, fmt.Errorf("lacks %s", c.name)
		}
		v, err := c.value(raw)
		if err != nil {
			return nil, err
		}
		out[i] = v
	}
	if len(fields) > len(t.columns) {
		return nil, fmt.Errorf("has %d values, but this program knows %d of them; install the newer program", len(fields), len(t.columns))
	}
	return out, nil
}

// value reads one value of a row.
func (c column) value(raw json.RawMessage) (any, error) {
	null := string(raw) == "null"
	fail := func() error { return fmt.Errorf("%s is not what it should be: %.40s", c.name, raw) }
	switch c.kind {
	case whole, maybe:
		var n int64
		if null && c.kind == maybe {
			return nil, nil
		}
		if json.Unmarshal(raw, &n) != nil || null {
			return nil, fail()
		}
		return n, nil
	case real64:
		var f float64
		if json.Unmarshal(raw, &f) != nil || null {
			return nil, fail()
		}
		return f, nil
	}
	if null {
		if c.kind == option {
			return nil, nil
		}
		return nil, fail()
	}
	var s string
	if json.Unmarshal(raw, &s) != nil {
		return nil, fail()
	}
	var k checks
	switch c.kind {
	case blob:
		b, err := base64.StdEncoding.DecodeString(s)
		if err != nil {
			return nil, fail()
		}
		k.text(c.name, len(b))
		return b, errors.Join(k.errs...)
	case called:
		if clean, err := Name(s); err != nil || clean != s {
			return nil, fail()
		}
	case word, option:
		k.word(c.name, s, false)
	case blank:
		k.word(c.name, s, true)
	case free:
		k.free(c.name, &s)
	case object:
		j := json.RawMessage(s)
		k.json(c.name, &j, "")
	}
	return s, errors.Join(k.errs...)
}
