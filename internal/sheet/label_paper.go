package sheet

import (
	"strconv"
	"strings"

	"coldbatch/internal/fault"
)

// LabelPaper is what a printer holds: pages of labels, in mm. A roll has one label to a
// page.
type LabelPaper struct {
	Name        string  `json:"name"`
	Words       string  `json:"words"`
	PageWidth   float64 `json:"pageWidth"`
	PageHeight  float64 `json:"pageHeight"`
	Width       float64 `json:"width"` // of one label
	Height      float64 `json:"height"`
	Columns     int     `json:"columns"`
	Rows        int     `json:"rows"`
	LeftMargin  float64 `json:"left"` // of the first label
	TopMargin   float64 `json:"top"`
	PitchAcross float64 `json:"across"` // from one label to the next
	PitchDown   float64 `json:"down"`
	DPI         int     `json:"dpi"`            // of the printer that usually takes it
	InInches    bool    `json:"inch,omitempty"` // its size is given in inches first
}

// LabelPosition returns where the label with an index is on its page, from the upper left corner in
// mm. Labels run in rows from 0.
func (s LabelPaper) LabelPosition(i int) (x, y float64) {
	return s.LeftMargin + s.PitchAcross*float64(i%s.Columns), s.TopMargin + s.PitchDown*float64(i/s.Columns)
}

// SizeInOtherUnits returns the size of one label in the system that its words do not use:
// "2.76 × 1.46 in", "66.7 × 25.4 mm".
func (s LabelPaper) SizeInOtherUnits() string {
	show := func(mm float64) string {
		if s.InInches {
			return strings.TrimSuffix(strconv.FormatFloat(mm, 'f', 1, 64), ".0")
		}
		return strconv.FormatFloat(mm/mmPerInch, 'f', 2, 64)
	}
	unit := " in"
	if s.InInches {
		unit = " mm"
	}
	return show(s.Width) + " × " + show(s.Height) + unit
}

// CustomSizeText returns width and height of a paper that has no name, as a person would type them
// in mm and in inches.
func (s LabelPaper) CustomSizeText() map[string][2]string {
	if s.Width == 0 || strings.Contains(s.Name, "-") { // the names of papers have a hyphen
		return nil
	}
	in := func(each float64, digits int) [2]string {
		show := func(mm float64) string {
			text := strconv.FormatFloat(mm/each, 'f', digits, 64)
			return strings.TrimRight(strings.TrimRight(text, "0"), ".")
		}
		return [2]string{show(s.Width), show(s.Height)}
	}
	return map[string][2]string{"mm": in(1, 1), "in": in(mmPerInch, 2)}
}

// LabelPapers lists the papers that have a name, by size.
func LabelPapers() []LabelPaper {
	const a4w, a4h = 210, 297 // ISO 216
	const in = mmPerInch
	const letterW, letterH = 8.5 * in, 11 * in // ANSI/ASME Y14.1, size A
	return []LabelPaper{
		newGridPaper("a4-70x37", "A4, 70 × 37 mm, 3 × 8", a4w, a4h, 70, 37, 3, 8, 70),
		newGridPaper("a4-105x74", "A4, 105 × 74 mm, 2 × 4", a4w, a4h, 105, 74, 2, 4, 105),
		newGridPaper("letter-2.62x1", "Letter, 2⅝ × 1 in, 3 × 10", letterW, letterH, 2.625*in, 1*in, 3, 10, 2.75*in),
		newGridPaper("letter-4x2", "Letter, 4 × 2 in, 2 × 5", letterW, letterH, 4*in, 2*in, 2, 5, 4.1875*in),
		newGridPaper("roll-62", "roll, 62 mm wide, cut at 100 mm", 62, 100, 62, 100, 1, 1, 62),
		newGridPaper("roll-50x30", "roll, 50 × 30 mm", 50, 30, 50, 30, 1, 1, 50),
		// A printer for receipts prints 48 of its 58 mm.
		newGridPaper("receipt-58", "receipt, 58 mm wide, cut at 90 mm", 58, 90, 48, 90, 1, 1, 48),
	}
}

// The resolutions of a laser and of a label printer.
const laserDPI, thermalDPI = 600, 203

// newGridPaper returns a paper with labels in the middle of a page, rows without a gap.
func newGridPaper(name, words string, pageW, pageH, w, h float64, columns, rows int, across float64) LabelPaper {
	dpi := laserDPI
	if columns*rows == 1 {
		dpi = thermalDPI
	}
	return LabelPaper{DPI: dpi, InInches: strings.HasSuffix(name, "in") || strings.HasPrefix(name, "letter"), Name: name, Words: words, PageWidth: pageW, PageHeight: pageH, Width: w, Height: h, Columns: columns, Rows: rows,
		LeftMargin: (pageW - w - across*float64(columns-1)) / 2, TopMargin: (pageH - h*float64(rows)) / 2, PitchAcross: across, PitchDown: h}
}

// FindPaper returns a paper by its name, or one label a page by its size in mm or inches, such
// as "62x29" or "2.5x1in". It returns code NotFound for anything else.
func FindPaper(name string) (LabelPaper, error) {
	all := LabelPapers()
	names := make([]string, len(all))
	for i, s := range all {
		if s.Name == name {
			return s, nil
		}
		names[i] = s.Name
	}
	size, inches := strings.CutSuffix(strings.ToLower(name), "in")
	if w, h, ok := strings.Cut(size, "x"); ok {
		width, wrong := strconv.ParseFloat(w, 64)
		height, wrong2 := strconv.ParseFloat(h, 64)
		unit := "mm"
		if inches {
			width, height, unit = width*mmPerInch, height*mmPerInch, "in"
		}
		if wrong == nil && wrong2 == nil && width >= minWidth && width <= maxWidth && height >= minHeight && height <= maxHeight {
			return newGridPaper(strings.ToLower(name), w+" × "+h+" "+unit, width, height, width, height, 1, 1, width), nil
		}
		if !strings.Contains(name, "-") { // no name of a sheet, then
			f := fault.New(fault.Input, "a label of %q %s is not accepted", w+" × "+h, unit)
			if inches {
				return LabelPaper{}, f.WithHint("1 to 16½ in wide, ½ to 16½ in high")
			}
			return LabelPaper{}, f.WithHint("%d to %d mm wide, %d to %d mm high", minWidth, maxWidth, minHeight, maxHeight)
		}
	}
	return LabelPaper{}, fault.New(fault.NotFound, "there is no sheet %q", name).
		WithHint("one of %s, or a width and a height as in 62x29 (mm) or 2.5x1in", strings.Join(names, ", "))
}
