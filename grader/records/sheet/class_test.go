package sheet

import (
	"bytes"
	"encoding/csv"
	"reflect"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"
)

func aClass() *Class {
	return &Class{
		Lesson: "home-pose",
		Marks: []Mark{
			{Name: "=cmd|'/c calc'!A1", Crew: "day", Graded: true, Points: 79.96, Needed: 80, Findings: 2, First: "CONTACT", Programs: 3, File: "+x.yaml"},
			{Name: "Ines Calloway", Graded: true, Passed: true, Points: 100, Needed: 80, Programs: 1, File: "i.yaml"},
			{Name: "Tom", First: "4:8: a \"quoted\", thing\nin two lines", Programs: 1, File: "t.yaml"},
			{Name: "Mara", Absent: true},
		},
		Findings: []Frequency{{"CONTACT", "something is struck", "stop", 1, 2}},
		Ungraded: []Ungraded{{"Tom", "t.yaml", "@wrong"}},
	}
}

// The sheet reads back as RFC 4180 has it, formulas as texts, and no mark short of
// the pass mark as the pass mark.
func TestClassCSV(t *testing.T) {
	var b strings.Builder
	if err := ClassCSV(&b, aClass()); err != nil {
		t.Fatal(err)
	}
	got, err := csv.NewReader(strings.NewReader(b.String())).ReadAll()
	want := [][]string{
		{"name", "crew", "lesson", "state", "points", "needed", "passed", "findings", "first", "programs", "file"},
		{"'=cmd|'/c calc'!A1", "day", "home-pose", "graded", "79.9", "80.0", "no", "2", "CONTACT", "3", "'+x.yaml"},
		{"Ines Calloway", "", "home-pose", "graded", "100.0", "80.0", "yes", "0", "", "1", "i.yaml"},
		{"Tom", "", "home-pose", "not graded", "", "", "no", "", "4:8: a \"quoted\", thing\nin two lines", "1", "t.yaml"},
		{"Mara", "", "home-pose", "absent", "", "", "no", "", "", "0", ""},
	}
	if err != nil || !reflect.DeepEqual(got, want) {
		t.Errorf("%v\n%q\nwant\n%q", err, got, want)
	}
}

func TestClassXLSX(t *testing.T) {
	var first, second bytes.Buffer
	for _, b := range []*bytes.Buffer{&first, &second} {
		if err := ClassXLSX(b, aClass()); err != nil {
			t.Fatal(err)
		}
	}
	if !bytes.Equal(first.Bytes(), second.Bytes()) {
		t.Error("the same class gives other bytes")
	}
	f, err := excelize.OpenReader(&first)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if got := f.GetSheetList(); !reflect.DeepEqual(got, []string{"Marks", "Findings", "Not graded"}) {
		t.Errorf("sheets %q", got)
	}
	for cell, want := range map[string]string{"A2": "=cmd|'/c calc'!A1", "D2": "(79.9)", "D3": "100.0", "G2": "2", "C4": "not graded", "D4": "", "C5": "absent"} {
		got, err := f.GetCellValue("Marks", cell)
		formula, err2 := f.GetCellFormula("Marks", cell)
		if err != nil || err2 != nil || got != want || formula != "" {
			t.Errorf("%s = %q, formula %q, want %q", cell, got, formula, want)
		}
	}
	if got, _ := f.GetCellValue("Findings", "F2"); got != "1 of 3" {
		t.Errorf("share %q, want 1 of 3", got)
	}
}
