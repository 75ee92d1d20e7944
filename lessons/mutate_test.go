package lessons

import (
	"fmt"
	"io/fs"
	"path"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"

	"posework/engine/practice"
	"posework/grader"
)

// TestMutants tests the grading itself: it takes every good answer of the course
// and makes it worse in one way at a time, as a person in a hurry would. Each
// mutant must fail with a finding of the right kind, or be harmless for a reason
// that stands in the table below.
func TestMutants(t *testing.T) {
	if testing.Short() {
		t.Skip("grades about a thousand programs")
	}
	// A reason that no mutant needs is one that nobody checks.
	var used sync.Map
	t.Cleanup(func() {
		for _, h := range harmless {
			if _, ok := used.Load(h.reason); !ok {
				t.Errorf("no mutant is spared because %q", h.reason)
			}
		}
	})
	for _, lesson := range embeddedCourse(t).Lessons {
		if lesson.Task == nil {
			continue
		}
		files, err := fs.Glob(Embedded(), path.Join(lesson.Dir, "answers", "good*.yaml"))
		if err != nil {
			t.Fatal(err)
		}
		for _, file := range slices.DeleteFunc(files, isLog) {
			data, err := fs.ReadFile(Embedded(), file)
			if err != nil {
				t.Fatal(err)
			}
			t.Run(strings.TrimSuffix(file, ".yaml"), func(t *testing.T) {
				t.Parallel()
				for _, m := range mutants(string(data)) {
					if lesson.Task.UsesLog() {
						m.log = fullLog(lesson, m.text)
					}
					m.answer = strings.TrimSuffix(path.Base(file), ".yaml")
					if reason := judgeMutant(t, lesson, &m); reason != "" {
						used.Store(reason, true)
					}
				}
			})
		}
	}
}

// mutant is a good answer made worse.
type mutant struct {
	answer string // "good-step-by-step"
	kind   string
	what   string // "step 4, chute-grip", "pose chute-grip", "frame crate"
	role   role
	text   string
	log    *practice.Log // of a prove-out of the mutant itself; nil where the task asks for none
}

// caughtBy names the findings that may catch each kind of mutant: one of them
// must be raised, whatever else is.
var caughtBy = map[string][]string{
	"twice as fast":      speedCodes,
	"four times as fast": speedCodes,
	"lowered":            slices.Concat(placeCodes, nearCodes, wayCodes, speedCodes, []string{"NO_LEAD_IN", "NOT_TRACED", "PATH_OFF", "FRAME_OFF", "TCP_OFF"}),
	"frame shifted":      slices.Concat(placeCodes, nearCodes, wayCodes, []string{"FRAME_OFF", "NOT_TRACED", "PATH_OFF", "CORNER_CUT", "TCP_OFF", "RESIDUAL_HIGH"}),
	"flown by":           {"BLEND_AT_WORK_POSE", "TARGET_MISSED", "HOME_BLENDED", "GRIP_ON_THE_FLY", "CORNER_CUT", "APPROACH_TOO_LOW", "RETRACT_TOO_LOW", "CLEARANCE_LOW", "WAIT_INSIDE_MACHINE", "WAY_HOME_MISSING", "NOT_HOME_AT_START", "NO_LEAD_IN", "FAST_NEAR_FIXTURE", "WAY_HOME_BLOCKED"},
	"left out":           slices.Concat(placeCodes, nearCodes, wayCodes, handCodes, homeCodes, []string{"FAST_RETRACT", "NO_LEAD_IN", "NOT_TRACED", "SQUARE_OPEN", "PATH_OFF", "FAST_NEAR_FIXTURE", "OVERSPEED_MANUAL", "OUT_OF_REACH", "PATH_SINGULAR", "NEAR_WRIST_SINGULARITY", "CORNER_CUT"}),
	"swapped":            slices.Concat(placeCodes, nearCodes, wayCodes, handCodes, homeCodes, speedCodes, []string{"NO_LEAD_IN", "NOT_TRACED", "SQUARE_OPEN", "PATH_OFF", "JOINT_MOVE_ON_PATH"}),
	"wrist in line":      {"NEAR_WRIST_SINGULARITY", "PATH_SINGULAR", "HOME_NEAR_SINGULARITY"},
}

var (
	speedCodes = []string{"OVERSPEED_MANUAL", "OVERSPEED_CELL", "FAST_NEAR_FIXTURE", "FAST_APPROACH", "FAST_RETRACT", "SPEED_UNSTEADY", "AXIS_OVERSPEED", "AXIS_OVERLOAD"}
	placeCodes = []string{"TARGET_MISSED", "PLACE_OFF", "PART_DROPPED", "PART_NOT_TAKEN", "PART_NOT_LAID", "ORIENTATION_OFF"}
	nearCodes  = []string{"CONTACT", "CLEARANCE_LOW", "KEEP_OUT_ENTERED", "HOME_CLEARANCE", "WAY_HOME_BLOCKED"}
	wayCodes   = []string{"NO_APPROACH", "APPROACH_TOO_LOW", "APPROACH_TOO_HIGH", "APPROACH_TILTED", "NO_RETRACT", "RETRACT_TOO_LOW", "RETRACT_TILTED", "BLEND_AT_WORK_POSE"}
	handCodes  = []string{"LIFT_BEFORE_CONFIRM", "LEFT_BEFORE_RELEASE", "GRIP_ON_THE_FLY", "WAIT_TIMED_OUT", "NOT_ASKED", "NOT_CONFIRMED", "OUTPUT_UNKNOWN", "TOLD_TOO_EARLY", "WAIT_INSIDE_MACHINE", "STALE_SIGNAL", "PAYLOAD_ZERO", "PAYLOAD_NOT_SWITCHED", "LEFT_TOO_SOON"}
	homeCodes  = []string{"NOT_HOME_AT_START", "NOT_HOME_AT_END", "WAY_HOME_MISSING", "HOME_LEFT_STRAIGHT", "HOME_BLENDED"}
)

// judgeMutant grades a mutant. For one that passes it returns the reason why it
// may.
func judgeMutant(t *testing.T, lesson *Lesson, m *mutant) string {
	t.Helper()
	mark, l := grader.Grade(lesson.Cell, lesson.Task, "mutant.yaml", []byte(m.text), grader.Options{Log: m.log})
	if len(l) > 0 {
		return "" // it can't even be planned, and the reader has said why
	}
	if mark.Passed {
		i := slices.IndexFunc(harmless, func(h spared) bool { return h.covers(m) })
		if i < 0 {
			t.Errorf("%s, %s: the mutant passes with %.4g points, and no reason is known why it may", m.what, m.kind, mark.Points)
			return ""
		}
		return harmless[i].reason
	}
	got := findingCodes(mark)
	if !slices.ContainsFunc(got, func(c string) bool { return slices.Contains(caughtBy[m.kind], c) }) {
		t.Errorf("%s, %s: caught only by %s", m.what, m.kind, words(got))
	}
	return ""
}

// role is what a pose is for.
type role string

const (
	free     role = "free air"                // high above everything, or near the base
	beside   role = "beside the work"         // where a trace runs in or out
	approach role = "approach"                // straight above a work pose
	home     role = "home"                    //
	work     role = "work"                    // grip, lay, visit, trace
	signal   role = "signal"                  // no pose: a step that sets, waits or pauses
	nothing  role = "where it already stands" // the first move, to home
)

func roleOf(pose string) role {
	switch {
	case pose == "":
		return signal
	case pose == "home":
		return home
	case strings.HasSuffix(pose, "-over") || pose == "over":
		return approach
	case strings.HasSuffix(pose, "high") || slices.Contains([]string{"inside", "above", "away"}, pose):
		return free
	case pose == "beside" || pose == "out":
		return beside
	}
	return work
}

// spared is a kind of mutant that may pass. Empty fields fit everything. Whether
// a mutant does pass, the grader says; this says only that it may.
type spared struct {
	kind   string
	role   role
	answer string
	step   string // part of the step or pose
	reason string
}

func (h *spared) covers(m *mutant) bool {
	return strings.HasSuffix(m.kind, h.kind) && (h.role == "" || h.role == m.role) && (h.answer == "" || h.answer == m.answer) && strings.Contains(m.what, h.step)
}

var harmless = []spared{
	// Speeds are held against limits alone; a mutant that passes keeps all of
	// them. A move to the work is never so slow that four times is slow enough.
	{kind: "as fast", role: free, reason: "in free air the speed still keeps every limit"},
	{kind: "as fast", role: approach, reason: "down to the approach pose the speed still keeps every limit"},
	{kind: "as fast", role: beside, reason: "beside the slab the speed still keeps every limit"},
	{kind: "as fast", role: home, reason: "on the way home the speed still keeps every limit"},
	{kind: "as fast", role: nothing, reason: "the arm stands at home already"},
	{kind: "as fast", role: work, step: "{to: show", reason: "the showing pose is in free air, 110 mm above the stand"},
	{kind: "twice as fast", role: work, reason: "doubled, a slow move still keeps every limit"},

	{kind: "lowered", role: free, reason: "free air is left below it"},
	{kind: "lowered", role: approach, reason: "a straight line of 50 mm is left"},
	{kind: "lowered", role: home, reason: "a home 20 mm lower is as good"},
	{kind: "frame shifted", role: free, reason: "free air is left beside it"},
	{kind: "frame shifted", role: home, reason: "a home 20 mm further out is as good"},
	{kind: "frame shifted", answer: "good-six", reason: "all six touches moved alike: the tip lies elsewhere, the tool is the same"},
	{kind: "frame shifted", answer: "good-five", reason: "all five touches moved alike: the tip lies elsewhere, the tool is the same"},

	{kind: "flown by", role: free, reason: "nothing stands inside the rounded corner"},
	{kind: "flown by", role: approach, reason: "the way leads straight through the approach pose"},
	{kind: "flown by", role: beside, reason: "nothing stands inside the corner beside the slab"},
	{kind: "flown by", role: home, reason: "home on the way, not at the end, is a pose in free air"},
	{kind: "flown by", role: work, step: "{to: d,", reason: "run-in and run-out lead straight through this corner"},

	{kind: "left out", role: free, reason: "the way without the high pose is as clear"},
	{kind: "left out", role: home, reason: "the way without this visit home is as clear"},
	{kind: "left out", role: work, step: "{to: d,", reason: "run-in and run-out pass this corner without a pose"},
	{kind: "left out", role: signal, step: "{pause:", reason: "the confirmation counts, not the pause"},
	{kind: "left out", role: signal, answer: "good-with-routines", step: "{set: {vacuum: off}}", reason: "the lesson does not ask for known outputs yet"},
	{kind: "left out", role: signal, step: "{wait: {bar-ready: off", reason: "the answer is seen to go off, which nothing needs later"},

	{kind: "swapped", role: free, reason: "another way round, as clear"},
	{kind: "swapped", role: home, reason: "home earlier or later, the same poses in the same order"},
	{kind: "swapped", role: work, step: "{to: one", reason: "the second target is reached straight from the first, as clear"},
	{kind: "swapped", role: work, step: "{to: two", reason: "the next pose is reached straight from the second target, as clear"},
	{kind: "swapped", role: work, step: "{to: chute,", reason: "the way home without rising first is as clear, from the chute"},
	{kind: "swapped", role: work, step: "{to: stand,", reason: "the way home without rising first is as clear, from the stand"},
	{kind: "swapped", role: work, step: "{to: tray,", reason: "the way home without rising first is as clear, from the tray"},
	{kind: "swapped", role: work, step: "{to: show", reason: "the bar is shown, and the way back without rising first is as clear"},
	{kind: "swapped", role: approach, answer: "good-line-down", reason: "above the fourth mark there is free air"},
	{kind: "swapped", role: signal, answer: "good-with-routines", step: "{set: {vacuum: off}}", reason: "a pause before or after the known output is the same"},
	{kind: "swapped", role: signal, step: "{pause:", reason: "a pause earlier or later"},
	{kind: "swapped", role: signal, answer: "good-with-routines", step: "{wait: {part-held", reason: "a pause before the confirmation instead of after it"},
	{kind: "swapped", role: signal, step: "{set: {vacuum: off, ask-bar: off", reason: "the arm stands at home already, before or after the outputs are set"},
	{kind: "swapped", role: signal, answer: "good-routines", step: "{set: {vacuum: off}}", reason: "two outputs in another order"},
	{kind: "swapped", role: signal, step: "{wait: {bar-ready: on", reason: "it waits high above the chute, clear of it"},
	{kind: "swapped", role: signal, step: "{call: ask}", reason: "it asks high above the chute, clear of it"},
	{kind: "swapped", role: signal, step: "{set: {ask-bar: off}}", reason: "the chute is told a little later"},
	{kind: "swapped", role: signal, step: "{wait: {bar-ready: off", reason: "the answer is seen to go off a little later"},

	{kind: "swapped", role: signal, answer: "good-switched", step: "{wait: {part-held", reason: "the payload is told before the confirmation, at rest either way"},
	{kind: "swapped", role: signal, answer: "good-in-routines", step: "{wait: {part-held", reason: "the payload is told before the confirmation, at rest, either way"},

	// The pose off the gauge is above the measured pose, in line with it.
	{kind: "four times as fast", role: work, step: "{to: off,", reason: "off the gauge the speed still keeps every limit"},
	{kind: "flown by", role: work, step: "{to: off,", reason: "the way leads straight through the pose off the gauge, and 50 mm of line are left"},
	{kind: "left out", role: work, step: "{to: off,", reason: "the next round begins with the same way up"},

	{kind: "left out", role: signal, answer: "good-routines-changed", step: "{set: {vacuum: off}}", reason: "this lesson does not ask for known outputs"},
	{kind: "swapped", role: signal, answer: "good-routines-changed", step: "{set: {vacuum: off}}", reason: "the arm stands at home already when the output is set"},

	// Down and up again twice, where once is asked for, at 60 mm/s.
	{kind: "four times as fast", role: work, answer: "good-squeeze-first", reason: "60 mm/s, four times, keep the 250 mm/s of manual mode"},
	{kind: "flown by", role: work, answer: "good-squeeze-first", reason: "it goes down twice, and the other time it stops there"},
	{kind: "left out", role: work, answer: "good-squeeze-first", reason: "it goes down twice, and once is enough"},
	{kind: "swapped", role: work, answer: "good-squeeze-first", reason: "it goes down twice, and the other time is in order"},

	// The way past the post on its outer side: nothing is picked at the chute, and
	// every pose of the way has a little more room than it needs.
	{kind: "lowered", role: beside, answer: "good-as-meant", reason: "beside the post there is air below"},
	{kind: "frame shifted", role: work, answer: "good-as-meant", step: "frame chute", reason: "the pattern runs without bars, and over the chute there is free air"},
	{kind: "frame shifted", role: work, answer: "good-as-meant", step: "frame ", reason: "20 mm further out, the way past the post is as clear"},
	{kind: "left out", role: approach, answer: "good-as-meant", step: "{to: chute-over", reason: "the way from high above the chute is as clear"},
	{kind: "swapped", role: approach, answer: "good-as-meant", step: "{to: chute-over", reason: "over the chute there is free air either way"},
	{kind: "left out", role: beside, answer: "good-as-meant", reason: "the straight way to the corner is as clear"},
	{kind: "flown by", role: work, step: "{to: corner", reason: "20 mm of rounding leave the 50 mm at the post; the 90 mm of the flawed answer do not"},
	{kind: "flown by", role: work, step: "{to: past,", reason: "nothing stands inside this corner"},
	{kind: "left out", role: work, step: "{to: past,", reason: "the way up from the corner is as clear"},
}

var (
	stepLine = regexp.MustCompile(`^\s*- \{`)
	poseLine = regexp.MustCompile(`^  ([\w-]+): +\{xyz: \[([-\d.]+), ([-\d.]+), ([-\d.]+)\], rpy: \[([^\]]*)\](?:, frame: ([\w-]+))?`)
	toPose   = regexp.MustCompile(`\{to: ([\w-]+)`)
	speedOf  = regexp.MustCompile(`speed: ([\d.]+) (%|mm/s)`)
)

// mutants makes every mutant of a program: answers write one step or pose a
// line.
func mutants(text string) []mutant {
	lines := strings.Split(text, "\n")
	first := slices.Index(lines, "steps:")
	var all []mutant
	with := func(kind, what string, r role, edit map[int]string) {
		changed := slices.Clone(lines)
		for i, l := range edit {
			changed[i] = l
		}
		changed = slices.DeleteFunc(changed, func(l string) bool { return l == gone })
		all = append(all, mutant{kind: kind, what: what, role: r, text: strings.Join(changed, "\n")})
	}
	var steps []int
	for i := first + 1; i < len(lines); i++ {
		if stepLine.MatchString(lines[i]) {
			steps = append(steps, i)
		}
	}
	frames := map[string][]int{}
	for i := range first {
		if p := poseLine.FindStringSubmatch(lines[i]); p != nil {
			x, y, z := number(p[2]), number(p[3]), number(p[4])
			with("lowered", "pose "+p[1], roleOf(p[1]), map[int]string{i: placed(lines[i], x, y, z-20)})
			frames[p[6]] = append(frames[p[6]], i)
			if p[1] == "start" || p[1] == "end" {
				with("wrist in line", "pose "+p[1], work, map[int]string{i: strings.Replace(lines[i], p[5], "180, 0, 0", 1)})
			}
		}
	}
	for frame, poses := range frames {
		edit := map[int]string{}
		for _, i := range poses {
			p := poseLine.FindStringSubmatch(lines[i])
			edit[i] = placed(lines[i], number(p[2])+20, number(p[3]), number(p[4]))
		}
		r := work
		if len(poses) == 1 {
			r = roleOf(poseLine.FindStringSubmatch(lines[poses[0]])[1])
		}
		with("frame shifted", "frame "+frame, r, edit)
	}
	for k, i := range steps {
		pose := ""
		if p := toPose.FindStringSubmatch(lines[i]); p != nil {
			pose = p[1]
		}
		r, what := roleOf(pose), fmt.Sprintf("step in line %d, %s", i+1, strings.TrimSpace(lines[i]))
		if s := speedOf.FindStringSubmatch(lines[i]); s != nil {
			speedRole := r
			if k == 0 && pose == "home" {
				speedRole = nothing
			}
			for factor, kind := range map[float64]string{2: "twice as fast", 4: "four times as fast"} {
				v := number(s[1]) * factor
				if s[2] == "%" {
					v = min(v, 100)
				}
				with(kind, what, speedRole, map[int]string{i: strings.Replace(lines[i], s[0], fmt.Sprintf("speed: %g %s", v, s[2]), 1)})
			}
		}
		if strings.Contains(lines[i], "end: stop") {
			with("flown by", what, r, map[int]string{i: strings.Replace(lines[i], "end: stop", "end: fly-by 20 mm", 1)})
		}
		if len(steps) > 1 {
			with("left out", what, r, map[int]string{i: gone})
		}
		if k+1 < len(steps) && steps[k+1] == i+1 && indent(lines[i]) == indent(lines[i+1]) {
			with("swapped", what, r, map[int]string{i: lines[i+1], i + 1: lines[i]})
		}
	}
	return all
}

// gone marks a line to delete.
const gone = "\x00"

func indent(l string) int { return len(l) - len(strings.TrimLeft(l, " ")) }

func number(s string) float64 {
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		panic(err) // the pattern lets only numbers through
	}
	return v
}

var place = regexp.MustCompile(`xyz: \[[^\]]*\]`)

func placed(line string, x, y, z float64) string {
	return place.ReplaceAllString(line, fmt.Sprintf("xyz: [%g, %g, %g]", x, y, z))
}
