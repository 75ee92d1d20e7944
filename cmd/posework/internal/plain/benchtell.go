package plain

import (
	"fmt"
	"strings"

	"posework/cmd/posework/internal/bench"
	"posework/engine/practice"
	"posework/grader/report"
	"posework/kin"
)

func (s *sitting) listOrders(_ []string) error {
	s.para("Commands. Capitals stand for something of yours. A hold may end with for SECONDS, and then release, squeeze, stop or emergency.")
	for _, o := range orders() {
		if o.does == "" {
			s.say("  %s", o.words)
			continue
		}
		s.say("%s", report.Wrap(o.words+": "+o.does, "  ", report.Width))
	}
	return nil
}

// where tells where the arm stands and what room is left.
func (s *sitting) where(_ []string) error {
	r := s.bench.Control.Read()
	for i := range r.Q {
		unit, q, room, side := "degrees", kin.Deg(r.Q[i]), kin.Deg(r.Room[i]), "lower"
		if s.bench.Cell.Arm.Chain.Prismatic(i) {
			unit, q, room = "mm", r.Q[i], r.Room[i]
		}
		if r.Upper[i] {
			side = "upper"
		}
		s.say("Axis %d: %.2f %s, %.1f to its %s limit.", i+1, bench.Hundredths(q), unit, room, side)
	}
	s.tellPlace(&r)
	a := &r.Alignments
	if a.HasWrist {
		s.say("Wrist: %.1f degrees to aligned.", kin.Deg(a.Wrist))
	}
	if a.HasElbow {
		s.say("Elbow: %.1f degrees to aligned.", kin.Deg(a.Elbow))
	}
	if a.HasShoulder {
		s.say("Shoulder: %.0f mm to aligned.", a.Shoulder)
	}
	if r.Plan != nil {
		s.para("%s", s.progress(&r))
	}
	return nil
}

// tellPlace tells the tool's place and the closest pair.
func (s *sitting) tellPlace(r *practice.Reading) {
	frame := s.frame
	if frame == practice.InTool {
		frame = practice.InBase
	}
	at := s.bench.Control.In(frame)
	roll, pitch, yaw := at.R.RPY()
	h := bench.Hundredths
	s.para("Tool %s in %s: x %.2f, y %.2f, z %.2f mm; turned %.2f, %.2f, %.2f degrees about x, y, z.", r.Tool.Name, frame,
		h(at.T.X), h(at.T.Y), h(at.T.Z), h(kin.Deg(roll)), h(kin.Deg(pitch)), h(kin.Deg(yaw)))
	if r.Gap.Known {
		s.say("Closest: %s and %s, %.1f mm.", r.Gap.A, r.Gap.B, r.Gap.MM)
	}
}

// progress tells how far the program has been run.
func (s *sitting) progress(r *practice.Reading) string {
	done := 0
	for _, p := range r.Proved {
		if p {
			done++
		}
	}
	text := fmt.Sprintf("%d of %d steps were run singly.", done, len(r.Proved))
	switch {
	case r.Step >= len(r.Plan.Steps):
		text += " The program is at its end."
	case r.Within:
		text += " The arm stands within step " + r.Plan.Steps[r.Step].Label + "."
	default:
		text += " Step " + r.Plan.Steps[r.Step].Label + " comes next."
	}
	if r.OnTrack != nil && r.Step < len(r.Plan.Steps) {
		text += " " + sentence(r.OnTrack)
	}
	return text
}

// devices tells the state of all devices.
func (s *sitting) devices(_ []string) error {
	r := s.bench.Control.Read()
	speed := fmt.Sprintf("no point faster than %.0f mm/s", r.SpeedMMS)
	if r.Mode == practice.Automatic {
		speed = fmt.Sprintf("%.0f %% of the programmed speed", 100*r.Share)
	}
	gate := "closed"
	if r.GateOpen {
		gate = "open"
	}
	s.para("Mode %s, %s. Enabling device %s. Gate %s.", r.Mode, speed, r.Grip, gate)
	switch {
	case r.Latched:
		s.say("The emergency stop is pressed in.")
	case r.Tripped:
		s.say("A stop is in force until it is reset.")
	case r.Spent:
		s.say("The enabling device was squeezed: release it fully.")
	}
	return nil
}

func (s *sitting) signals(_ []string) error {
	r := s.bench.Control.Read()
	for i := range s.bench.Cell.Signals {
		sig := &s.bench.Cell.Signals[i]
		kind, state := "input", "off"
		if sig.Output {
			kind = "output"
		}
		if r.Scene.Signals[i] {
			state = "on"
		}
		s.say("  %s %s: %s", kind, sig.Name, state)
	}
	held := "The tool holds nothing."
	if r.Scene.Held >= 0 {
		held = "The tool holds " + s.bench.Cell.Parts[r.Scene.Held].Name + "."
	}
	s.say("%s", held)
	return nil
}

func (s *sitting) poses(_ []string) error {
	poses := s.bench.Program().Poses
	if len(poses) == 0 {
		s.say("There are no poses yet; record NAME adds one.")
	}
	for i := range poses {
		s.say("  %s: %s", poses[i].Name, bench.SayPose(&poses[i]))
	}
	return nil
}

func (s *sitting) steps(_ []string) error {
	rows := s.bench.Rows()
	if len(rows) == 0 {
		s.say("There are no steps yet; add move adds one.")
	}
	r := s.bench.Control.Read()
	for i := range rows {
		proved := ""
		if r.Plan != nil {
			n, done := 0, 0
			for k := range r.Plan.Steps {
				if r.Plan.Steps[k].Source == rows[i].Step {
					n++
					if r.Proved[k] {
						done++
					}
				}
			}
			if n > 0 && done == n {
				proved = " (run singly)"
			}
		}
		s.say("%s%s. %s%s", strings.Repeat("  ", rows[i].Depth+1), rows[i].Number, rows[i].Text, proved)
	}
	for _, d := range s.bench.Trouble() {
		s.say("%s", d)
	}
	if r.Plan != nil {
		s.para("%s", s.progress(&r))
	}
	return nil
}
