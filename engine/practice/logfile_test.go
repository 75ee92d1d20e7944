package practice

import (
	"reflect"
	"strings"
	"testing"
)

const digest = "9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08"

func TestLogFile(t *testing.T) {
	log := Log{Program: digest, Cell: "prove-it where rack.y = -25 mm", Entries: []Entry{
		{Kind: SteppedEntry, At: 4.2, Step: "7.2 (round 3)", Nth: 31, Speed: 49.9996, Mode: Manual},
		{Kind: ReleasedEntry, At: 5, Speed: 31.25, Mode: Manual},
		{Kind: RanEntry, At: 96, Speed: 250, Mode: Automatic, Share: 0.25},
	}}
	text := log.Text()
	want := "posework: log/1\nprogram: " + digest + "\ncell: \"prove-it where rack.y = -25 mm\"\nentries:\n" +
		"  - {kind: step, at: 4.2 s, nth: 31, step: \"7.2 (round 3)\", speed: 50 mm/s, mode: manual}\n" +
		"  - {kind: release, at: 5 s, speed: 31.25 mm/s, mode: manual}\n" +
		"  - {kind: run, at: 96 s, speed: 250 mm/s, mode: automatic, share: 25 %}\n"
	if string(text) != want {
		t.Fatalf("written as\n%s\nwant\n%s", text, want)
	}
	got, l := ReadLog("a.log.yaml", text)
	if len(l) > 0 {
		t.Fatal(l)
	}
	log.Entries[0].Speed = 50
	if !reflect.DeepEqual(*got, log) {
		t.Errorf("read back as %+v", got)
	}
	empty := Log{Program: digest}
	if got, l := ReadLog("b.log.yaml", empty.Text()); len(l) > 0 || got.Program != digest || len(got.Entries) != 0 {
		t.Errorf("an empty log is read as %+v: %v", got, l)
	}
}

// A speed in the file is never below the one that was measured, but for what
// rounding has put above a limit.
func TestLogFileRoundsUp(t *testing.T) {
	for speed, want := range map[float64]string{250.0004: "250.001", 250.0000000001: "250", 49.9991: "50", 0: "0"} {
		log := Log{Program: digest, Entries: []Entry{{Kind: RanEntry, Speed: speed}}}
		if !strings.Contains(string(log.Text()), "speed: "+want+" mm/s") {
			t.Errorf("%v is written as %s", speed, log.Text())
		}
	}
}

func TestReadLogReports(t *testing.T) {
	seen := map[string]bool{}
	for _, tt := range []struct{ old, text, want string }{
		{digest, "pick.yaml", "L001 log.yaml:2:10"},
		{digest, strings.ToUpper(digest), "L001 log.yaml:2:10"},
		{"at: 4 s", "at: -4 s", "L002 log.yaml:4:22"},
		{"at: 4 s", "at: 14 s", "L002 log.yaml:5:5"},
		{"speed: 40 mm/s", "speed: -40 mm/s", "L002 log.yaml:4:53"},
		{"share: 25 %", "share: 125 %", "L002 log.yaml:5:66"},
		{`step: "1"`, `step: ""`, "L002 log.yaml:4:41"},
		{"nth: 1", "nth: 0", "F020 log.yaml:4:32"},
		{"kind: step", "kind: jump", "F017 log.yaml:4:12"},
		{"mode: manual", "mode: fast", "F017 log.yaml:4:68"},
		{"at: 4 s", "at: 4", "F016 log.yaml:4:22"},
		{"at: 4 s", "at: .nan s", "F015 log.yaml:4:22"},
	} {
		text := "posework: log/1\nprogram: " + digest + "\nentries:\n" +
			"  - {kind: step, at: 4 s, nth: 1, step: \"1\", speed: 40 mm/s, mode: manual}\n" +
			"  - {kind: run, at: 9 s, speed: 40 mm/s, mode: automatic, share: 25 %}\n"
		_, l := ReadLog("log.yaml", []byte(strings.Replace(text, tt.old, tt.text, 1)))
		if len(l) == 0 {
			t.Errorf("%s: nothing is reported", tt.text)
			continue
		}
		seen[l[0].Code] = true
		pos := l[0].Pos
		if got := l[0].Code + " " + pos.String(); got != tt.want {
			t.Errorf("%s: %s %s, want %s", tt.text, got, l[0].Text, tt.want)
		}
	}
	for _, c := range Codes {
		if !seen[c.ID] {
			t.Errorf("no test raises %s", c.ID)
		}
	}
}

func FuzzReadLog(f *testing.F) {
	log := Log{Program: digest, Entries: []Entry{{Kind: SteppedEntry, At: 1, Step: "1", Nth: 1, Speed: 10}}}
	f.Add(log.Text())
	f.Fuzz(func(t *testing.T, data []byte) {
		log, l := ReadLog("log.yaml", data)
		if len(l) > 0 {
			return
		}
		again, l := ReadLog("log.yaml", log.Text())
		if len(l) > 0 || len(again.Entries) != len(log.Entries) || !again.Of(log) {
			t.Errorf("%+v is read back as %+v: %v", log, again, l)
		}
	})
}
