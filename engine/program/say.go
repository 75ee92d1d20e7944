package program

import (
	"fmt"
	"strings"
)

// Say says a step in words: "line to grip, 80 mm/s, stop".
func (s *Step) Say() string {
	switch s.Kind {
	case Set:
		return "set " + saySignals(s.Signals)
	case Wait:
		text := "wait for " + saySignals(s.Signals)
		if s.AtMost > 0 {
			text += fmt.Sprintf(", at most %g s", s.AtMost)
		}
		return text
	case Pause:
		return fmt.Sprintf("pause %g s", s.Pause)
	case Repeat:
		text := fmt.Sprintf("repeat %d times", s.Times)
		if s.Shift.Frame.Name != "" {
			text += fmt.Sprintf(", each time shifted by %.6g %.6g %.6g in %s", s.Shift.By.X, s.Shift.By.Y, s.Shift.By.Z, s.Shift.Frame.Name)
		}
		return text
	case Call:
		return "call " + s.Call.Name
	case SelectTool:
		return "take tool " + s.Tool.Name
	case SetPayload:
		return fmt.Sprintf("payload %.4g kg at %.6g %.6g %.6g", s.Load.Mass, s.Load.At.X, s.Load.At.Y, s.Load.At.Z)
	}
	text := fmt.Sprintf("%s to %s", s.Path, s.To.Name)
	if s.Path == Arc {
		text += " through " + s.Through.Name
	}
	return text + ", " + s.Speed.say(s.Path) + ", " + SayEnd(s.FlyBy)
}

func (v Speed) say(p Path) string {
	if p == Joint {
		return fmt.Sprintf("%.4g %%", 100*v.Share)
	}
	return fmt.Sprintf("%.4g mm/s", v.MMS)
}

// SayEnd says how a move ends: "stop", or "fly-by 20 mm".
func SayEnd(flyBy float64) string {
	if flyBy > 0 {
		return fmt.Sprintf("fly-by %.4g mm", flyBy)
	}
	return "stop"
}

func saySignals(list []Signal) string {
	words := make([]string, len(list))
	for i, s := range list {
		words[i] = s.Name + " " + SayOn(s.On)
	}
	return strings.Join(words, ", ")
}

// SayOn is the word for the state of a signal.
func SayOn(on bool) string {
	if on {
		return "on"
	}
	return "off"
}
