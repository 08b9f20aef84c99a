package batchview

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"coldbatch/internal/batch"
	"coldbatch/internal/zone"
)

// BagTableHeader names the columns of BagTable. Times are UTC, as 2026-05-02T16:10Z; figures
// have a decimal point; what nobody recorded is empty.
var BagTableHeader = []string{"batch", "bag", "pieces", "dry_g", "colours", "fold", "closed", "opened", "rinsed", "done", "cure_h", "cure_share", "soak_g_per_L", "soak_pH", "soak_min",
	"dye_mL_per_g", "baths", "rating", "bright", "even", "white_share", "bled", "faults", "note", "L", "a", "b", "colour_error"}

// BagTable returns one row for each bag of the batches, for a table of figures, the oldest batch first.
func BagTable(states []batch.State, e ViewEnv) [][]string {
	rows := [][]string{BagTableHeader}
	states = slices.SortedStableFunc(slices.Values(states), func(a, b batch.State) int {
		return cmp.Or(cmp.Compare(a.StartedAt, b.StartedAt), cmp.Compare(a.ID, b.ID))
	})
	for _, s := range states {
		for _, b := range s.Bags {
			var colours []string
			for _, c := range bagColours(s, b) {
				colours = append(colours, c.Name)
			}
			what, fold := bagContents(s, b)
			c := evidenceOf(s, b, e)
			r, _ := s.ResultOf(b.ID)
			row := []string{s.Name, formatBagNumber(b.Number, b.Letter), what, tableNumber(bagGrams(s, b)), strings.Join(colours, "; "), fold,
				tableTime(b.ClosedAt), tableTime(b.OpenedAt), tableTime(b.RinsedAt), tableTime(b.DoneAt)}
			hours, share, ph := "", "", ""
			if c.Cure != nil {
				hours, share = tableNumber(c.Cure.Hours), tableNumber(c.Cure.Done)
			}
			if c.SoakCheck != nil {
				ph = tableNumber(float64(c.SoakCheck.PH))
			}
			baths := ""
			if c.Baths != nil {
				baths = strconv.Itoa(*c.Baths)
			}
			row = append(row, hours, share, tableOptional(c.SoakStrength), ph, tableOptional(c.SoakMinutes), tableOptional(c.DyePerGram), baths,
				tableRating(r.Overall), tableRating(r.Bright), tableRating(r.Even), tableOptional(r.WhiteShare), r.Bled, strings.Join(r.Faults, "; "), r.Note)
			lab := []string{"", "", "", ""}
			for _, x := range s.Readings {
				if x.Subject == b.ID {
					lab = []string{tableNumber(x.Lab[0]), tableNumber(x.Lab[1]), tableNumber(x.Lab[2]), tableNumber(x.Error)}
				}
			}
			row = append(row, lab...)
			for i := range row {
				row[i] = SafeCell(row[i])
			}
			rows = append(rows, row)
		}
	}
	return rows
}

// formulaStarts are the characters with which a formula may begin, those of full width too.
const formulaStarts = "=+-@＝＋－＠"

// SafeCell returns a text that no spreadsheet takes for a formula: a part that begins like one
// gets an apostrophe in front. A part begins the text, and follows each line break, tab or
// semicolon in it, since where a comma is the decimal point a spreadsheet may end the cell
// there. A number stays as it is.
func SafeCell(text string) string {
	if v, err := strconv.ParseFloat(text, 64); err == nil && !math.IsInf(v, 0) && !math.IsNaN(v) && text[0] != '+' {
		return text
	}
	var b strings.Builder
	if text != "" && strings.ContainsAny(text[:1], "\t\r\n") { // a spreadsheet may leave it out
		b.WriteByte('\'')
	}
	begins := true
	for _, r := range text {
		if begins && strings.ContainsRune(formulaStarts, r) {
			b.WriteByte('\'')
		}
		b.WriteRune(r)
		begins = strings.ContainsRune(";\t\r\n", r) || begins && (!unicode.IsGraphic(r) || unicode.IsSpace(r) || r == '"')
	}
	return b.String()
}

// WriteTable writes rows as CSV by RFC 4180: every line ends in CR and LF, and a cell with a comma, a
// quotation mark, a line break or a space at its ends stands in quotation marks.
func WriteTable(rows [][]string) []byte {
	var b []byte
	for _, row := range rows {
		for i, cell := range row {
			if i > 0 {
				b = append(b, ',')
			}
			if strings.ContainsAny(cell, ",\"\r\n") || strings.TrimSpace(cell) != cell {
				cell = `"` + strings.ReplaceAll(cell, `"`, `""`) + `"`
			}
			b = append(b, cell...)
		}
		b = append(b, "\r\n"...)
	}
	return b
}

func tableNumber(v float64) string {
	return strconv.FormatFloat(math.Round(v*1000)/1000, 'f', -1, 64)
}

func tableOptional(v *float64) string {
	if v == nil {
		return ""
	}
	return tableNumber(*v)
}

func tableRating(n int) string {
	if n == 0 {
		return ""
	}
	return strconv.Itoa(n)
}

// tableTime writes an instant as UTC to the minute, "" for none.
func tableTime(i zone.Instant) string {
	if i == 0 {
		return ""
	}
	l := zone.Table{}.Local(i)
	return fmt.Sprintf("%04d-%02d-%02dT%02d:%02dZ", l.Year, l.Month, l.Day, l.Hour, l.Minute)
}
