package records

import (
	"bytes"
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
)

// columnKind is what a column holds, in a database and in a backup.
type columnKind uint8

const (
	colInt        columnKind = iota // int64
	colMaybeInt                     // int64 or null
	colReal                         // float64
	colName                         // a person's name
	colWord                         // short text without invisible characters
	colMaybeEmpty                   // the same, but it may be empty
	colMaybeWord                    // the same, or null
	colText                         // text
	colJSON                         // JSON as text
	colMaybeJSON                    // the same, or empty
	colBytes                        // bytes; base64 in a backup
)

type column struct {
	name string
	kind columnKind
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
		{"person", true, []column{{"id", colInt}, {"name", colName}, {"fold", colText}, {"at", colInt}}},
		{"roster", true, []column{{"id", colInt}, {"person", colInt}, {"crew", colMaybeEmpty}, {"site", colWord}, {"role", colWord}, {"key", colText}, {"at", colInt}}},
		{"attempt", true, []column{{"id", colInt}, {"person", colInt}, {"lesson", colWord}, {"program", colBytes}, {"seed", colInt}, {"verdict", colWord},
			{"points", colReal}, {"duration", colInt}, {"course", colMaybeEmpty}, {"findings", colJSON}, {"job", colMaybeWord}, {"corrects", colMaybeInt}, {"at", colInt},
			{"regrades", colMaybeInt}, {"log", colMaybeJSON}}},
		{"answer", true, []column{{"id", colInt}, {"person", colInt}, {"deck", colWord}, {"question", colWord}, {"given", colText}, {"correct", colInt},
			{"duration", colInt}, {"course", colMaybeEmpty}, {"at", colInt}}},
		{"practice", true, []column{{"id", colInt}, {"person", colInt}, {"lesson", colWord}, {"seed", colInt}, {"kind", colWord}, {"data", colJSON}, {"at", colInt}}},
		{"site", false, []column{{"name", colWord}, {"places", colInt}, {"head", colBytes}}},
		{"chain", true, []column{{"id", colInt}, {"site", colWord}, {"place", colInt}, {"kind", colWord}, {"deck", colMaybeEmpty}, {"course", colMaybeEmpty},
			{"points", colReal}, {"needed", colReal}, {"passed", colInt}, {"corrects", colInt}, {"detail", colJSON}, {"at", colInt},
			{"commitment", colBytes}, {"prev", colBytes}, {"hash", colBytes}}},
		{"signer", false, []column{{"chain", colInt}, {"person", colInt}, {"deck", colWord}, {"name", colName}, {"typed", colText}, {"crew", colMaybeEmpty},
			{"note", colText}, {"salt", colBytes}}},
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
		case colInt:
			out[i] = new(int64)
		case colMaybeInt:
			out[i] = new(*int64)
		case colReal:
			out[i] = new(float64)
		case colMaybeWord:
			out[i] = new(*string)
		case colBytes:
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
	known := len(t.columns)
	for i, c := range t.columns {
		raw, ok := fields[c.name]
		if !ok {
			v, ok := later(t.name, c.name)
			if !ok {
				return nil, fmt.Errorf("lacks %s", c.name)
			}
			out[i] = v
			known--
			continue
		}
		v, err := c.value(raw)
		if err != nil {
			return nil, err
		}
		out[i] = v
	}
	if len(fields) > known {
		return nil, fmt.Errorf("has %d values, but this program knows %d of them; install the newer program", len(fields), known)
	}
	return out, nil
}

// later returns what stands for a column in backups from before it was added.
func later(table, column string) (value any, ok bool) {
	switch table + "." + column {
	case "attempt.regrades":
		return nil, true
	case "attempt.log":
		return "", true
	}
	return nil, false
}

// value reads one value of a row.
func (c column) value(raw json.RawMessage) (any, error) {
	null := string(raw) == "null"
	fail := func() error { return fmt.Errorf("%s is not what it should be: %.40s", c.name, raw) }
	switch c.kind {
	case colInt, colMaybeInt:
		var n int64
		if null && c.kind == colMaybeInt {
			return nil, nil
		}
		if json.Unmarshal(raw, &n) != nil || null {
			return nil, fail()
		}
		return n, nil
	case colReal:
		var f float64
		if json.Unmarshal(raw, &f) != nil || null {
			return nil, fail()
		}
		return f, nil
	}
	if null {
		if c.kind == colMaybeWord {
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
	case colBytes:
		b, err := base64.StdEncoding.DecodeString(s)
		if err != nil {
			return nil, fail()
		}
		k.text(c.name, len(b))
		return b, errors.Join(k.errs...)
	case colName:
		if clean, err := Name(s); err != nil || clean != s {
			return nil, fail()
		}
	case colWord, colMaybeWord:
		k.word(c.name, s, false)
	case colMaybeEmpty:
		k.word(c.name, s, true)
	case colText:
		k.free(c.name, &s)
	case colJSON, colMaybeJSON:
		if s == "" && c.kind == colMaybeJSON {
			break
		}
		j := json.RawMessage(s)
		k.json(c.name, &j, "")
	}
	return s, errors.Join(k.errs...)
}
