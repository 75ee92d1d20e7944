package main

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"

	"posework/engine/diag"
	"posework/kin"
	"posework/kin/arm"
)

type armCmd struct {
	Show    armShowCmd    `cmd:"" help:"Print an arm's axes, limits, reach and singular configurations."`
	Check   armCheckCmd   `cmd:"" help:"Say what would stop an arm from being used in a lesson."`
	Forward armForwardCmd `cmd:"" help:"Axes to pose: read JSON lines, answer JSON lines."`
	Inverse armInverseCmd `cmd:"" help:"Pose to axes: read JSON lines, answer JSON lines."`
}

// armArg names an arm.
type armArg struct {
	Arm string `arg:"" help:"A built-in arm or a file." predictor:"arm"`
	Tip string `help:"Of a URDF file with several ends: the link that is the flange." placeholder:"LINK"`
}

// Help is shown by --help.
func (armCmd) Help() string {
	return `ARM is a built-in arm (` + strings.Join(arm.Names(), ", ") + `) or a file: a URDF file
or an arm file (posework: arm/1).

Example:

  posework arm show hazel

Exit status: as each command says.`
}

// maxLine is the greatest length of a line that the arm commands read.
const maxLine = 1 << 20

// answerLines reads JSON lines and writes one answer a line: what answer returns,
// or {"error", "line"} for a line that is wrong, after which it goes on. Blank
// lines are passed over. It returns statusNotPassed when a line was wrong.
func (s *session) answerLines(answer func(line []byte) (any, error)) error {
	r := bufio.NewReaderSize(s.in, 64<<10)
	w := bufio.NewWriterSize(s.out, 64<<10)
	e := json.NewEncoder(diag.Escaped(w))
	e.SetEscapeHTML(false)
	wrong := false
	for n := 1; ; n++ {
		if err := s.ctx.Err(); err != nil {
			return err
		}
		line, err := readLine(r)
		if err != nil && !errors.Is(err, io.EOF) && !errors.Is(err, errLongLine) {
			return fmt.Errorf("read line %d: %w", n, err)
		}
		if text := bytes.TrimSpace(line); len(text) > 0 || errors.Is(err, errLongLine) {
			var v any
			bad := err
			if !errors.Is(bad, errLongLine) {
				v, bad = answer(text)
			}
			if bad != nil {
				wrong = true
				v = struct {
					Error string `json:"error"`
					Line  int    `json:"line"`
				}{bad.Error(), n}
			}
			if err := e.Encode(v); err != nil {
				return fmt.Errorf("write the answer to line %d: %w", n, err)
			}
			// A program that waits for each answer must get it; one that sends
			// many lines at once gets them in one piece.
			if r.Buffered() == 0 {
				if err := w.Flush(); err != nil {
					return err
				}
			}
		}
		if errors.Is(err, io.EOF) {
			break
		}
	}
	if err := w.Flush(); err != nil {
		return err
	}
	if wrong {
		return status(statusNotPassed)
	}
	return nil
}

var errLongLine = fmt.Errorf("the line is longer than %d bytes", maxLine)

// readLine returns the next line. A line that is too long is passed over.
func readLine(r *bufio.Reader) ([]byte, error) {
	var line []byte
	long := false
	for {
		part, err := r.ReadSlice('\n')
		if long = long || len(line)+len(part) > maxLine; !long {
			line = append(line, part...)
		}
		switch {
		case errors.Is(err, bufio.ErrBufferFull):
			continue
		case err == nil && long:
			return nil, errLongLine
		case errors.Is(err, io.EOF) && long:
			// The next call tells of the end.
			return nil, errLongLine
		}
		return line, err
	}
}

// decodeLine reads one JSON object into v, and says in plain words what is wrong.
func decodeLine(line []byte, v any) error {
	d := json.NewDecoder(bytes.NewReader(line))
	d.DisallowUnknownFields()
	err := d.Decode(v)
	if err == nil && d.More() {
		return errors.New("one JSON object a line is read, but more follows")
	}
	var syntax *json.SyntaxError
	var kind *json.UnmarshalTypeError
	switch {
	case err == nil:
		return nil
	case errors.As(err, &syntax):
		return fmt.Errorf("this is not JSON: near character %d", syntax.Offset)
	case errors.As(err, &kind) && kind.Field == "":
		return fmt.Errorf("a JSON object is needed, not %s", article(kind.Value))
	case errors.As(err, &kind):
		return fmt.Errorf("%q holds %s where a number or a list of numbers is needed", kind.Field, article(kind.Value))
	case errors.Is(err, io.ErrUnexpectedEOF), errors.Is(err, io.EOF):
		return errors.New("this is not JSON: it ends too early")
	}
	// The package has no type for an unknown field.
	if name, found := strings.CutPrefix(err.Error(), "json: unknown field "); found {
		return fmt.Errorf("unknown key %s", name)
	}
	return errors.New(strings.TrimPrefix(err.Error(), "json: "))
}

func article(noun string) string {
	if noun != "" && strings.ContainsRune("aeiou", rune(noun[0])) {
		return "an " + noun
	}
	return "a " + noun
}

// finite reports a number that can't be reckoned with.
func finite(name string, values []float64) error {
	for _, v := range values {
		// JSON can't write them, but 1e999 becomes one.
		if math.IsNaN(v) || math.Abs(v) > 1e9 {
			return fmt.Errorf("%q holds a number beyond 1e9", name)
		}
	}
	return nil
}

// count reports a list of the wrong length.
func count(name string, values []float64, want int) error {
	if len(values) != want {
		return fmt.Errorf("%q has %d numbers, but %d are needed", name, len(values), want)
	}
	return finite(name, values)
}

// toAxes and fromAxes convert between people's units (deg, mm for a prismatic
// axis) and the inner ones.
func toAxes(m *arm.Model, people []float64) (q kin.Joints) {
	for i, v := range people {
		q[i] = v
		if !m.Chain.Prismatic(i) {
			q[i] = kin.Rad(v)
		}
	}
	return q
}

func fromAxes(m *arm.Model, q *kin.Joints) (people [6]float64) {
	for i := range q {
		people[i] = axisUnit(m, i, q[i])
	}
	return people
}

func axisUnit(m *arm.Model, i int, v float64) float64 {
	if !m.Chain.Prismatic(i) {
		v = kin.Deg(v)
	}
	return positiveZero(v)
}

// positiveZero turns -0 into 0.
func positiveZero(v float64) float64 {
	if v == 0 {
		return 0
	}
	return v
}

func vec(v kin.Vec) [3]float64 {
	return [3]float64{positiveZero(v.X), positiveZero(v.Y), positiveZero(v.Z)}
}
