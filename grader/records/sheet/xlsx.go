package sheet

import (
	"io"
	"iter"
	"maps"
	"slices"

	"github.com/xuri/excelize/v2"

	"posework/grader/records"
)

// XLSX writes a workbook with three sheets: Marks has one row a person and one
// column a lesson, with the best points in bold where the lesson is passed and in
// brackets where it is not; Progress has one row a person and lesson; Sign-offs
// has the newest passed sign-off of each person.
func XLSX(w io.Writer, standings iter.Seq2[records.Standing, error], signed iter.Seq2[records.Signed, error]) error {
	var rows []records.Standing
	lessons := map[string]bool{}
	for r, err := range standings {
		if err != nil {
			return err
		}
		for _, l := range r.Lessons {
			lessons[l.Lesson] = true
		}
		rows = append(rows, r)
	}
	f := excelize.NewFile()
	defer f.Close()
	b := &book{f: f}
	b.styles()
	b.marks(rows, slices.Sorted(maps.Keys(lessons)))
	b.progress(rows)
	b.signOffs(signed)
	if b.err != nil {
		return b.err
	}
	return f.Write(w)
}

// book writes cells until something fails.
type book struct {
	f                  *excelize.File
	head, passed, open int // styles
	err                error
}

func (b *book) do(err error) {
	if b.err == nil {
		b.err = err
	}
}

func (b *book) styles() {
	points, inBrackets := "0.0", "(0.0)"
	for _, s := range []struct {
		id    *int
		style excelize.Style
	}{
		{&b.head, excelize.Style{Font: &excelize.Font{Bold: true}}},
		{&b.passed, excelize.Style{Font: &excelize.Font{Bold: true}, CustomNumFmt: &points}},
		{&b.open, excelize.Style{CustomNumFmt: &inBrackets}},
	} {
		id, err := b.f.NewStyle(&s.style)
		*s.id = id
		b.do(err)
	}
}

// sheet begins a sheet with its column names, which stay in view.
func (b *book) sheet(name string, columns ...any) {
	if name == "Marks" {
		b.do(b.f.SetSheetName("Sheet1", name))
	} else {
		_, err := b.f.NewSheet(name)
		b.do(err)
	}
	b.row(name, 1, columns...)
	b.do(b.f.SetRowStyle(name, 1, 1, b.head))
	b.do(b.f.SetPanes(name, &excelize.Panes{Freeze: true, XSplit: 1, YSplit: 1, TopLeftCell: "B2", ActivePane: "bottomRight"}))
	b.do(b.f.SetColWidth(name, "A", "A", 24))
}

// row writes values from column A on. Texts stay texts, whatever they begin
// with; nil leaves a cell empty.
func (b *book) row(sheet string, row int, values ...any) {
	for i, v := range values {
		if v != nil {
			b.do(b.f.SetCellValue(sheet, b.cell(i+1, row), v))
		}
	}
}

func (b *book) cell(col, row int) string {
	name, err := excelize.CoordinatesToCellName(col, row)
	b.do(err)
	return name
}

func (b *book) marks(rows []records.Standing, lessons []string) {
	const sheet, first = "Marks", 4 // column of the first lesson
	columns := []any{"name", "crew", "passed"}
	for _, l := range lessons {
		columns = append(columns, l)
	}
	b.sheet(sheet, columns...)
	for i, r := range rows {
		passed := 0
		for _, l := range r.Lessons {
			if l.Passed {
				passed++
			}
			at, _ := slices.BinarySearch(lessons, l.Lesson)
			cell := b.cell(first+at, i+2)
			b.do(b.f.SetCellValue(sheet, cell, tenths(l.Best)))
			style := b.open
			if l.Passed {
				style = b.passed
			}
			b.do(b.f.SetCellStyle(sheet, cell, cell, style))
		}
		b.row(sheet, i+2, r.Person.Name, r.Person.Crew, passed)
	}
}

func (b *book) progress(rows []records.Standing) {
	const sheet = "Progress"
	b.sheet(sheet, "name", "crew", "site", "lesson", "attempts", "best", "passed", "last (UTC)")
	at := 2
	for _, r := range rows {
		for _, l := range r.Lessons {
			b.row(sheet, at, r.Person.Name, r.Person.Crew, r.Person.Site, l.Lesson, l.Attempts, tenths(l.Best), yes(l.Passed), stamp(l.Last))
			at++
		}
	}
}

func (b *book) signOffs(signed iter.Seq2[records.Signed, error]) {
	const sheet = "Sign-offs"
	b.sheet(sheet, "name", "crew", "site", "place", "deck", "signed (UTC)")
	at := 2
	for g, err := range signed {
		b.do(err)
		if b.err != nil {
			return
		}
		if g.Ever {
			b.row(sheet, at, g.Person.Name, g.Person.Crew, g.Site, g.Place, g.Deck, stamp(g.At))
		} else {
			b.row(sheet, at, g.Person.Name, g.Person.Crew, nil, nil, nil, "never")
		}
		at++
	}
}
