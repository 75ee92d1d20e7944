package main

import (
	"bytes"
	"context"
	"os"
	"strings"
	"testing"

	"posework/engine/program"
)

// What the README shows is what the program prints: its first program reads
// without a mistake, and the finding stands in the output of the command above
// it, word for word.
func TestReadme(t *testing.T) {
	data, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	text := string(data)

	_, rest, _ := strings.Cut(text, "```yaml\n")
	first, _, ok := strings.Cut(rest, "```")
	if !ok {
		t.Fatal("no program in the README")
	}
	if _, l := program.Read("README.md", []byte(first)); len(l) > 0 {
		t.Errorf("the first program: %v", l.Err())
	}

	const command = "    go run ./cmd/posework "
	_, rest, _ = strings.Cut(rest, command+"grade ")
	line, rest, _ := strings.Cut(rest, "\n")
	_, rest, _ = strings.Cut(rest, "Among what you read is this:\n\n")
	block, _, ok := strings.Cut(rest, "\n\n")
	if !ok {
		t.Fatal("no finding in the README")
	}
	t.Chdir("../..")
	var out, diagnostics bytes.Buffer
	if status := run(context.Background(), append([]string{"grade"}, strings.Fields(line)...), strings.NewReader(""), &out, &diagnostics); status != 1 {
		t.Fatalf("exit status %d, want 1: %s", status, diagnostics.String())
	}
	if want := strings.ReplaceAll(block, "\n    ", "\n"); !strings.Contains(out.String(), strings.TrimPrefix(want, "    ")) {
		t.Errorf("the README shows\n%s\nthe command prints\n%s", want, out.String())
	}
}
