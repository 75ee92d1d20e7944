package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"time"

	"posework/grader/records"
	"posework/grader/records/sheet"
	"posework/grader/records/xapi"
)

type recordsExportCmd struct {
	Format     string `enum:"csv,xlsx,jsonl,xapi," default:"" placeholder:"NAME" help:"csv and xlsx: mark sheet; jsonl: every row; xapi: statements. Taken from the name of the file unless given."`
	Out        string `short:"o" placeholder:"FILE" help:"Write to this file instead of the standard output." predictor:"file"`
	Crew       string `placeholder:"NAME" help:"csv, xlsx: only this crew."`
	Site       string `placeholder:"NAME" help:"csv, xlsx: only this site."`
	Person     string `placeholder:"NAME" help:"jsonl: only this person."`
	Since      moment `placeholder:"DATE" help:"jsonl, xapi: only what was recorded at this date or later."`
	Home       string `placeholder:"URL" help:"xapi: address of your organisation's own site; people are accounts of it." env:"POSEWORK_LRS_HOME"`
	Pseudonyms bool   `help:"xapi: people by number instead of by name."`
	Send       string `placeholder:"URL" help:"xapi: send the statements to this learning record store; user and password come from POSEWORK_LRS_USER and POSEWORK_LRS_PASSWORD."`
}

// Help is shown by --help.
func (recordsExportCmd) Help() string {
	return `Writes records for other programs.

  csv    a mark sheet, one row a person and lesson
  xlsx   the same as a workbook: marks, progress, sign-offs
  jsonl  people, attempts, answers, practice logs and sign-offs, one object a line
  xapi   statements of the Experience API (IEEE 9274.1.1), as a file or sent to a
         learning record store; sent again, each is kept there once

Examples:

  posework records export --out marks.xlsx
  posework records export --format jsonl --since 2026-03-01 > march.jsonl
  posework records export --format xapi --home https://training.example.org \
    --send https://lrs.example.org/xapi

Exit status: 0 written or sent, 2 could not be done.`
}

// Run exports.
func (c *recordsExportCmd) Run(s *session) error {
	format, err := c.format()
	if err != nil {
		return err
	}
	if _, is := asTerminal(s.out); is && format == "xlsx" && (c.Out == "" || c.Out == "-") {
		return errors.New("a workbook on a terminal can't be read; name a file with --out marks.xlsx")
	}
	store, err := s.oldStore()
	if err != nil {
		return err
	}
	defer store.Close()
	if format == "xapi" {
		return c.statements(s, store)
	}
	return save(c.Out, s.out, func(w io.Writer) error {
		people := records.PeopleFilter{Crew: c.Crew, Site: c.Site}
		switch format {
		case "csv":
			return sheet.CSV(w, store.AllStandings(s.ctx, people))
		case "xlsx":
			return sheet.XLSX(w, store.AllStandings(s.ctx, people), store.AllSigned(s.ctx, records.SignedFilter{PeopleFilter: people}))
		}
		return sheet.JSONL(s.ctx, w, store, sheet.What{Person: c.Person, Since: time.Time(c.Since)})
	})
}

// format is the one asked for, or that of the file's name. Flags that would do
// nothing are refused: what they leave out would be in the file unseen.
func (c *recordsExportCmd) format() (string, error) {
	format := c.Format
	if format == "" {
		switch ext := strings.ToLower(filepath.Ext(c.Out)); ext {
		case ".csv", ".xlsx", ".jsonl":
			format = ext[1:]
		default:
			if c.Send == "" {
				return "", errors.New("in which format? write --format csv, xlsx, jsonl or xapi")
			}
			format = "xapi"
		}
	}
	since := !time.Time(c.Since).IsZero()
	for _, f := range []struct {
		name    string
		given   bool
		formats string
	}{
		{"--crew", c.Crew != "", "csv xlsx"}, {"--site", c.Site != "", "csv xlsx"}, {"--person", c.Person != "", "jsonl"},
		{"--since", since, "jsonl xapi"}, {"--pseudonyms", c.Pseudonyms, "xapi"}, {"--send", c.Send != "", "xapi"},
	} {
		if f.given && !strings.Contains(f.formats, format) {
			return "", fmt.Errorf("%s does nothing with %s; it goes with %s", f.name, format, strings.ReplaceAll(f.formats, " ", " and "))
		}
	}
	return format, nil
}

// statements writes or sends xAPI statements.
func (c *recordsExportCmd) statements(s *session, store *records.Store) error {
	maker, err := xapi.NewMaker(store.ID(), c.Home, c.Pseudonyms)
	if err != nil {
		return fmt.Errorf("--home: %w", err)
	}
	all := maker.All(s.ctx, store, time.Time(c.Since))
	if c.Send == "" {
		return save(c.Out, s.out, func(w io.Writer) error {
			_, err := xapi.Write(w, all)
			return err
		})
	}
	client := &xapi.Client{URL: c.Send, User: os.Getenv("POSEWORK_LRS_USER"), Password: os.Getenv("POSEWORK_LRS_PASSWORD")}
	sent, err := client.Send(s.ctx, all)
	if err != nil {
		return fmt.Errorf("%w; %d statements are there, sending again is safe", err, sent.New+sent.There)
	}
	_, err = fmt.Fprintf(s.out, "%d statements sent", sent.New)
	if sent.There > 0 {
		fmt.Fprintf(s.out, ", %d were there already", sent.There)
	}
	fmt.Fprintln(s.out)
	return err
}
