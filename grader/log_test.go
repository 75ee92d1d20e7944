package grader_test

import (
	"strconv"
	"strings"
	"testing"

	"posework/engine/practice"
	"posework/grader"
)

func TestProvedOut(t *testing.T) {
	const edited = head + "  other: {axes: [20, -4, 29, 0, 65, 0]}\nsteps:\n" +
		"- {to: home, path: joint, speed: 9 %, end: stop}\n- {to: other, path: joint, speed: 8 %, end: stop}\n- {to: home, path: joint, speed: 9 %, end: stop}\n"
	program := strings.Replace(edited, "8 %", "9 %", 1)
	type log = []practice.Entry
	step := func(label string, speed float64) practice.Entry {
		nth, _ := strconv.Atoi(label)
		return practice.Entry{Kind: practice.SteppedEntry, Step: label, Nth: nth, Speed: speed}
	}
	run := func(speed float64) practice.Entry { return practice.Entry{Kind: practice.RanEntry, Speed: speed} }
	auto := func(share float64) practice.Entry {
		return practice.Entry{Kind: practice.RanEntry, Mode: practice.Automatic, Speed: 100, Share: share}
	}
	// A run that did not come to its end has no speed.
	begun := func(share float64) practice.Entry {
		return practice.Entry{Kind: practice.RanEntry, Mode: practice.Automatic, Share: share}
	}
	// A step that was run by itself in automatic mode proves nothing.
	alone2 := practice.Entry{Kind: practice.SteppedEntry, Step: "2", Nth: 2, Speed: 40, Mode: practice.Automatic}
	const (
		plain   = "{check: proved-out}"
		whole   = "{check: proved-out, at-most: 50 mm/s, manual-run: true, first-automatic: 25 %}"
		skipped = "PROVE_STEP_SKIPPED"
	)
	for _, tt := range []struct {
		name, check string
		log         log
		want        string
	}{
		{"every step", plain, log{step("1", 100), step("2", 100), step("3", 100)}, ""},
		{"every step, then automatic", plain, log{step("1", 100), step("2", 100), step("3", 100), auto(1)}, ""},
		{"exactly at the limit", plain, log{step("1", 250), step("2", 250), step("3", 250), auto(1)}, ""},
		{"an empty log", plain, log{}, skipped},
		{"a step left out", plain, log{step("1", 100), step("3", 100), auto(1)}, skipped},
		{"a step only after automatic", plain, log{step("1", 100), step("3", 100), auto(1), step("2", 100)}, skipped},
		{"a step in automatic", plain, log{step("1", 100), step("3", 100), alone2, auto(1)}, skipped},
		{"a run instead of a step", plain, log{step("1", 100), step("3", 100), run(100), auto(1)}, skipped},
		{"a step too fast", plain, log{step("1", 100), step("2", 260), step("3", 100), auto(1)}, "PROVED_TOO_FAST"},
		{"a step too fast, then once more", plain, log{step("1", 100), step("2", 260), step("3", 100), step("2", 200), auto(1)}, ""},
		{"automatic first", plain, log{auto(1), step("1", 100), step("2", 100), step("3", 100)}, skipped},

		{"all of it", whole, log{step("1", 50), step("2", 50), step("3", 50), run(50), auto(0.25), auto(1)}, ""},
		{"steps at speed", whole, log{step("1", 50), step("2", 51), step("3", 50), run(50), auto(0.25)}, "PROVED_TOO_FAST"},
		{"run by hand at speed", whole, log{step("1", 50), step("2", 50), step("3", 50), run(250), auto(0.25)}, "PROVED_TOO_FAST"},
		{"no run by hand", whole, log{step("1", 50), step("2", 50), step("3", 50), auto(0.25)}, skipped},
		{"run by hand before the steps", whole, log{run(50), step("1", 50), step("2", 50), step("3", 50), auto(0.25)}, skipped},
		{"run by hand before the last step", whole, log{step("1", 50), step("2", 50), run(50), step("3", 50), auto(0.25)}, skipped},
		{"a step once more after the run", whole, log{step("1", 50), step("2", 50), step("3", 50), run(50), step("2", 50), auto(0.25)}, ""},
		{"no automatic", whole, log{step("1", 50), step("2", 50), step("3", 50), run(50)}, skipped},
		{"first cycle at full speed", whole, log{step("1", 50), step("2", 50), step("3", 50), run(50), auto(1), auto(0.25)}, "FULL_SPEED_FIRST_CYCLE"},
		{"first cycle given up, then at full speed", whole, log{step("1", 50), step("2", 50), step("3", 50), run(50), begun(0.25), auto(1)}, "FULL_SPEED_FIRST_CYCLE"},
		{"given up at full speed, then slowly", whole, log{step("1", 50), step("2", 50), step("3", 50), run(50), begun(1), auto(0.25)}, "FULL_SPEED_FIRST_CYCLE"},
		{"given up, then slowly to the end", whole, log{step("1", 50), step("2", 50), step("3", 50), run(50), begun(0.1), auto(0.25), auto(1)}, ""},
		{"no cycle to its end", whole, log{step("1", 50), step("2", 50), step("3", 50), run(50), begun(0.25)}, skipped},
		{"a run by hand after a cycle given up", whole, log{step("1", 50), step("2", 50), step("3", 50), begun(0.25), run(50), auto(0.25)}, skipped},
		{"first cycle at an unknown speed", whole, log{step("1", 50), step("2", 50), step("3", 50), run(50), auto(0)}, "FULL_SPEED_FIRST_CYCLE"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			o := grader.Options{Log: &practice.Log{Program: grader.Digest([]byte(program)), Entries: tt.log}}
			raises(t, alone(t, read(t, "cell.yaml"), tt.check, program, o), tt.want)
			// The same log proves no other text, not even one that differs in a
			// speed or in a comment alone.
			for _, other := range []string{edited, program + "# done\n"} {
				m := alone(t, read(t, "cell.yaml"), tt.check, other, o)
				if got := strings.Join(codes(m), " "); got != "NO_STEP_BACK" || m.Passed {
					t.Errorf("for another text: findings %q, want NO_STEP_BACK", got)
				}
			}
		})
	}
	if got := strings.Join(codes(alone(t, read(t, "cell.yaml"), plain, program, grader.Options{})), " "); got != skipped {
		t.Errorf("without a log: findings %q, want %q", got, skipped)
	}
}

// A routine that is called twice has to be stepped through twice, although its
// steps have one label.
func TestProvedOutRoutines(t *testing.T) {
	const program = head + "  other: {axes: [20, -4, 29, 0, 65, 0]}\nsteps:\n- {to: home, path: joint, speed: 9 %, end: stop}\n- {call: go}\n" +
		"- {to: home, path: joint, speed: 9 %, end: stop}\n- {call: go}\nroutines:\n  go:\n  - {to: other, path: joint, speed: 9 %, end: stop}\n"
	entry := func(nth int, label string) practice.Entry {
		return practice.Entry{Kind: practice.SteppedEntry, Nth: nth, Step: label, Speed: 40}
	}
	for _, tt := range []struct {
		name    string
		entries []practice.Entry
		want    string
	}{
		{"both calls", []practice.Entry{entry(1, "1"), entry(2, "go 1"), entry(3, "3"), entry(4, "go 1")}, ""},
		{"the first call alone", []practice.Entry{entry(1, "1"), entry(2, "go 1"), entry(3, "3")}, "PROVE_STEP_SKIPPED"},
		{"the first call twice", []practice.Entry{entry(1, "1"), entry(2, "go 1"), entry(2, "go 1"), entry(3, "3")}, "PROVE_STEP_SKIPPED"},
		{"a step of another label", []practice.Entry{entry(1, "1"), entry(2, "go 1"), entry(3, "3"), entry(4, "4")}, "PROVE_STEP_SKIPPED"},
	} {
		o := grader.Options{Log: &practice.Log{Program: grader.Digest([]byte(program)), Entries: tt.entries}}
		if got := strings.Join(codes(alone(t, read(t, "cell.yaml"), "{check: proved-out}", program, o)), " "); got != tt.want {
			t.Errorf("%s: findings %q, want %q", tt.name, got, tt.want)
		}
	}
}

func TestStopsTried(t *testing.T) {
	const program = head + "steps:\n- {to: home, path: joint, speed: 9 %, end: stop}\n"
	type log = []practice.Entry
	entry := func(kind practice.EntryKind, speed float64) practice.Entry {
		return practice.Entry{Kind: kind, Step: "1", Speed: speed}
	}
	step := entry(practice.SteppedEntry, 40)
	release, squeeze := entry(practice.ReleasedEntry, 40), entry(practice.SqueezedEntry, 40)
	automatic := release
	automatic.Mode = practice.Automatic
	const check = "{check: stops-tried, by: [release, squeeze]}"
	for _, tt := range []struct {
		name string
		log  log
		want string
	}{
		{"both, and on", log{release, step, squeeze, step}, ""},
		{"both in one step", log{squeeze, release, step}, ""},
		{"nothing", log{}, "RELEASE_NOT_TRIED SQUEEZE_NOT_TRIED"},
		{"steps alone", log{step, step}, "RELEASE_NOT_TRIED SQUEEZE_NOT_TRIED"},
		{"release alone", log{release, step}, "SQUEEZE_NOT_TRIED"},
		{"squeeze alone", log{squeeze, step}, "RELEASE_NOT_TRIED"},
		{"an emergency stop instead", log{release, step, entry(practice.EmergencyEntry, 40), step}, "SQUEEZE_NOT_TRIED"},
		{"release at rest", log{entry(practice.ReleasedEntry, 0), squeeze, step}, "RELEASE_NOT_TRIED"},
		{"release in automatic", log{automatic, squeeze, step}, "RELEASE_NOT_TRIED"},
		{"left there", log{release, step, squeeze}, "NOT_RECOVERED"},
		{"left there once more", log{release, squeeze, step, release}, "NOT_RECOVERED"},
		{"too fast", log{entry(practice.ReleasedEntry, 260), squeeze, step}, "OVERSPEED_MANUAL"},
		{"at the limit", log{entry(practice.ReleasedEntry, 250), squeeze, step}, ""},
	} {
		t.Run(tt.name, func(t *testing.T) {
			o := grader.Options{Log: &practice.Log{Program: grader.Digest([]byte(program)), Entries: tt.log}}
			if got := strings.Join(codes(alone(t, read(t, "cell.yaml"), check, program, o)), " "); got != tt.want {
				t.Errorf("findings %q, want %q", got, tt.want)
			}
			if got := strings.Join(codes(alone(t, read(t, "cell.yaml"), check, program+"# done\n", o)), " "); got != "NO_STEP_BACK" {
				t.Errorf("for another text: findings %q, want NO_STEP_BACK", got)
			}
		})
	}
	if got := strings.Join(codes(alone(t, read(t, "cell.yaml"), check, program, grader.Options{})), " "); got != "RELEASE_NOT_TRIED SQUEEZE_NOT_TRIED" {
		t.Errorf("without a log: findings %q", got)
	}
}
