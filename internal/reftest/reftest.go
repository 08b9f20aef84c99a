// Package reftest reads the tables of published values in testdata/ref for the
// tests of the packages under internal. Call Load. It is for tests only.
package reftest

import (
	"os"
	"strconv"
	"strings"
	"testing"
)

// Row is one row of a table: its cells by the name of the column.
type Row map[string]string

// Load reads the table in the file name. It fails the test where the header lacks a
// title, a source, a mark or units, where the table has no rows, or where a row does not
// have a cell for each column.
func Load(t testing.TB, name string) []Row {
	t.Helper()
	b, err := os.ReadFile("../../testdata/ref/" + name)
	if err != nil {
		t.Fatal(err)
	}
	header := map[string]bool{}
	var columns []string
	var rows []Row
	for n, line := range strings.Split(strings.TrimRight(string(b), "\n"), "\n") {
		if about, ok := strings.CutPrefix(line, "#"); ok {
			key, text, _ := strings.Cut(strings.TrimSpace(about), ":")
			header[key] = strings.TrimSpace(text) != ""
			continue
		}
		cells := strings.Split(line, "\t")
		if columns == nil {
			columns = cells
			continue
		}
		if len(cells) != len(columns) {
			t.Fatalf("%s:%d: %d cells for %d columns", name, n+1, len(cells), len(columns))
		}
		row := Row{}
		for i, c := range columns {
			row[c] = cells[i]
		}
		rows = append(rows, row)
	}
	for _, key := range []string{"title", "source", "mark", "units"} {
		if !header[key] {
			t.Fatalf("%s: the header must have a line # %s: …", name, key)
		}
	}
	if len(rows) == 0 {
		t.Fatalf("%s: no rows", name)
	}
	return rows
}

// Number returns the cell of a column as a number; it fails the test where it is none.
func (r Row) Number(t testing.TB, column string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(r[column], 64)
	if err != nil {
		t.Fatalf("column %s: %v", column, err)
	}
	return v
}
