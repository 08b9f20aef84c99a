package main

import (
	"encoding/xml"
	"errors"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"coldbatch/internal/batchview"
	"coldbatch/internal/need"
)

// sheetCell is a cell as LibreOffice keeps it in a flat OpenDocument file (OASIS OpenDocument 1.3,
// part 3, 9.1.4).
type sheetCell struct {
	kind, value, formula, text string
}

// The table of an export opens in a spreadsheet program with the same numbers, the same texts, and no
// formula. LibreOffice reads it; it is not what wrote it.
func TestTableInSpreadsheet(t *testing.T) {
	if os.Getenv("COLDBATCH_LONG") == "" {
		t.Skip("LibreOffice takes a minute to install: it runs with COLDBATCH_LONG=1, as .ci/run --long does")
	}
	t.Parallel()
	office := need.Program(t, "soffice", "libreoffice")
	data, dir := exampleJournal(t), t.TempDir()
	table := filepath.Join(dir, "bags.csv")
	mustRunCommand(t, "export", "--data", data, table)
	check := func(name string, rows [][]string) {
		t.Helper()
		got := openInSpreadsheet(t, office, filepath.Join(dir, name))
		if len(got) != len(rows) {
			t.Fatalf("%s: %d rows, want %d", name, len(got), len(rows))
		}
		numbers := 0
		for i, row := range rows {
			for j, want := range row {
				cell := sheetCell{}
				if j < len(got[i]) {
					cell = got[i][j]
				}
				if cell.formula != "" {
					t.Errorf("%s, row %d, column %d: %q became the formula %q", name, i, j, want, cell.formula)
				}
				if v, err := strconv.ParseFloat(want, 64); err == nil {
					numbers++
					if is, err := strconv.ParseFloat(cell.value, 64); cell.kind != "float" || err != nil || is != v {
						t.Errorf("%s, row %d, column %d: %q became %+v", name, i, j, want, cell)
					}
				} else if cell.text != want {
					t.Errorf("%s, row %d, column %d: %q became %+v", name, i, j, want, cell)
				}
			}
		}
		if numbers < 10 {
			t.Errorf("%s: only %d numbers", name, numbers)
		}
	}
	check("bags.csv", parseTable(t, table))
	odd := [][]string{{"name", "a", "b"}}
	for i, text := range []string{"=1+1", "+2", "-3+cmd|' /C calc'!A0", "@SUM(1)", "say \"so\"", "a,b", "é, ß, 漢", "line\nbreak", "'quoted", "1 2", "rust; amber", " =5"} {
		odd = append(odd, []string{batchview.SafeCell(text), strconv.Itoa(i), "-0.125"})
	}
	if err := os.WriteFile(filepath.Join(dir, "odd.csv"), batchview.WriteTable(odd), 0o600); err != nil {
		t.Fatal(err)
	}
	check("odd.csv", odd)
}

// openInSpreadsheet opens a CSV file in LibreOffice, as UTF-8 with commas, and returns its cells.
func openInSpreadsheet(t *testing.T, office, path string) [][]sheetCell {
	t.Helper()
	cmd := exec.CommandContext(t.Context(), office, "--headless", "--norestore", "-env:UserInstallation=file://"+filepath.Join(t.TempDir(), "profile"),
		"--infilter=CSV:44,34,76,1", "--convert-to", "fods", "--outdir", filepath.Dir(path), path)
	cmd.Env = append(os.Environ(), "HOME="+t.TempDir())
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	f, err := os.Open(strings.TrimSuffix(path, ".csv") + ".fods")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	return readFlatSheet(t, f)
}

// readFlatSheet reads the cells of the first table; empty ones at the end of a row, and empty rows at
// the end, are left out.
func readFlatSheet(t *testing.T, r io.Reader) (rows [][]sheetCell) {
	t.Helper()
	attribute := func(e xml.StartElement, name string) string {
		for _, a := range e.Attr {
			if a.Name.Local == name {
				return a.Value
			}
		}
		return ""
	}
	repeated := func(e xml.StartElement, name string) int {
		n, err := strconv.Atoi(attribute(e, name))
		if err != nil {
			return 1
		}
		return n
	}
	var cell *sheetCell
	copies, rowCopies, paragraphs := 0, 0, 0
	inParagraph := false
	var row []sheetCell
	for d := xml.NewDecoder(r); ; {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			t.Fatal(err)
		}
		switch e := token.(type) {
		case xml.StartElement:
			switch e.Name.Local {
			case "table-row":
				row, rowCopies = nil, repeated(e, "number-rows-repeated")
			case "table-cell":
				cell = &sheetCell{kind: attribute(e, "value-type"), value: attribute(e, "value"), formula: attribute(e, "formula")}
				copies, paragraphs = repeated(e, "number-columns-repeated"), 0
			case "p":
				if cell != nil && paragraphs > 0 {
					cell.text += "\n"
				}
				paragraphs++
				inParagraph = true
			case "s":
				if cell != nil {
					cell.text += strings.Repeat(" ", repeated(e, "c"))
				}
			}
		case xml.CharData:
			if cell != nil && inParagraph {
				cell.text += string(e)
			}
		case xml.EndElement:
			switch e.Name.Local {
			case "p":
				inParagraph = false
			case "table-cell":
				for range min(copies, 100) { // the rest of a row is empty cells
					row = append(row, *cell)
				}
				cell = nil
			case "table-row":
				for range min(rowCopies, 100) {
					rows = append(rows, row)
				}
			}
		}
	}
	isEmpty := func(row []sheetCell) bool {
		for _, c := range row {
			if c != (sheetCell{}) {
				return false
			}
		}
		return true
	}
	for len(rows) > 0 && isEmpty(rows[len(rows)-1]) {
		rows = rows[:len(rows)-1]
	}
	return rows
}
