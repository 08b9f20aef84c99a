package main

import (
	"bytes"
	"encoding/csv"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"coldbatch/internal/journal"
	"coldbatch/internal/need"
)

// exampleJournal makes a data folder with the facts of the invented example.
func exampleJournal(t *testing.T) (data string) {
	t.Helper()
	saved := filepath.Join(t.TempDir(), "saved.json")
	if err := os.WriteFile(saved, journal.WriteSavedFile(exampleFacts(t)), 0o600); err != nil {
		t.Fatal(err)
	}
	data = newJournal(t)
	mustRunCommand(t, "import", "--data", data, saved)
	return data
}

// parseTable reads a CSV file.
func parseTable(t *testing.T, path string) [][]string {
	t.Helper()
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
	if err != nil || len(rows) < 5 {
		t.Fatalf("%d rows, %v", len(rows), err)
	}
	return rows
}

// A batch is printed into a PDF, whose text is read by another program; other names of files and
// papers are refused.
func TestBatchSheetCommand(t *testing.T) {
	data, out := exampleJournal(t), filepath.Join(t.TempDir(), "batch.pdf")
	rows := parseTable(t, exportedTable(t, data))
	name := rows[len(rows)-1][0]
	if says := mustRunCommand(t, "sheet", name, "--data", data, "--out", out); !strings.Contains(says, "page") || !strings.Contains(says, out) {
		t.Errorf("it says %q", says)
	}
	text, err := exec.CommandContext(t.Context(), need.Program(t, "pdftotext"), "-layout", out, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{name, "Pieces", "Colours", "Soak", "Bags", "Bag " + rows[len(rows)-1][1], "Cost"} {
		if !strings.Contains(string(text), want) {
			t.Errorf("%q is not in\n%s", want, text)
		}
	}
	for _, args := range [][]string{{"--out", "batch.svg"}, {"--paper", "a3", "--out", out}} {
		var says, complaint bytes.Buffer
		c := command{ctx: t.Context(), out: &says, err: &complaint, env: func(string) string { return "" }}
		if code := c.run(append([]string{"sheet", name, "--data", data}, args...)); code != exitUsage {
			t.Errorf("%v: exit code %d, %q", args, code, complaint.String())
		}
	}
}

func exportedTable(t *testing.T, data string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "bags.csv")
	mustRunCommand(t, "export", "--data", data, path)
	return path
}
