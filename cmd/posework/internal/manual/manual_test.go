package manual

import (
	"strings"
	"testing"

	"github.com/alecthomas/kong"
)

type lifting struct {
	Weight string `arg:"" help:"The weight, such as '2 kg'."`
	Slow   bool   `help:"Lift slowly."`
}

func (lifting) Help() string {
	return `Lifts a weight.
.hidden files are left alone, and so is C:\tmp.

Example:

  crane lift --slow "2 kg"

'Tis all.`
}

func (lifting) Run() error { return nil }

func model(t *testing.T) *kong.Node {
	t.Helper()
	var grammar struct {
		Site string  `placeholder:"NAME" help:"Where."`
		Lift lifting `cmd:"" help:"Lift a weight."`
	}
	k, err := kong.New(&grammar, kong.Name("crane"), kong.Description("A crane.\n\nIt lifts."))
	if err != nil {
		t.Fatal(err)
	}
	return k.Model.Node
}

func TestWrite(t *testing.T) {
	all := Commands(model(t))
	if len(all) != 2 || Name(all[0]) != "crane" || Name(all[1]) != "crane-lift" {
		t.Fatalf("%d pages", len(all))
	}
	var b strings.Builder
	if err := Write(&b, all[1]); err != nil {
		t.Fatal(err)
	}
	want := `.TH "CRANE\-LIFT" "1" "" "posework"
.SH "NAME"
crane-lift \- Lift a weight
.SH "SYNOPSIS"
.B "crane lift"
<weight>
[\fIoptions\fR]
.SH "DESCRIPTION"
Lifts a weight.
\&.hidden files are left alone, and so is C:\etmp.
.PP
Example:
.PP
.nf
  crane lift \-\-slow "2 kg"
.fi
.PP
\&'Tis all.
.SH "ARGUMENTS"
.TP
.I "<weight>"
The weight, such as '2 kg'.
.SH "OPTIONS"
.TP
.B "\-\-slow"
Lift slowly.
.SH "OPTIONS OF EVERY COMMAND"
.TP
.B "\-h, \-\-help"
Show context\-sensitive help.
.TP
.B "\-\-site=NAME"
Where.
`
	if b.String() != want {
		t.Errorf("the page is\n%s\nnot\n%s", b.String(), want)
	}
	b.Reset()
	if err := Write(&b, all[0]); err != nil {
		t.Fatal(err)
	}
	for _, part := range []string{"crane \\- A crane\n", "It lifts.", `Lift a weight. See \fBcrane\-lift\fR(1).`} {
		if !strings.Contains(b.String(), part) {
			t.Errorf("the first page does not hold %q:\n%s", part, b.String())
		}
	}
}
