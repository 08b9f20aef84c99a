package damage

import (
	"math/rand/v2"

	"coldbatch/internal/sheet"
)

// dots is the width of a module in dots of the tag's raster.
const dots = 8

// colour is a reflectance or a light: red, green and blue, linear, from 0 to 1.
type colour [3]float32

func (c colour) times(d colour) colour { return colour{c[0] * d[0], c[1] * d[1], c[2] * d[2]} }

var (
	paper = colour{0.80, 0.80, 0.77}
	toner = colour{0.035, 0.035, 0.04}
)

// tag is a printed label as a raster, with the positions of its codes in modules.
type tag struct {
	w, h  int // in dots
	pix   []colour
	side  int // modules of a code, without its quiet zone
	codes [][2]int
}

// printTag prints code at the right of a label, or twice, one above the other, and beside
// it a number and lines that look like words.
func printTag(code sheet.Matrix, two bool, r *rand.Rand) *tag {
	whole := code.Size + 2*sheet.QuietZone
	t := &tag{side: code.Size, w: (whole + 38) * dots, h: (whole + 2) * dots}
	t.codes = [][2]int{{37 + sheet.QuietZone, 1 + sheet.QuietZone}}
	if two {
		t.h = (2*whole + 6) * dots // the id typed by hand stands between
		t.codes = append(t.codes, [2]int{37 + sheet.QuietZone, 5 + whole + sheet.QuietZone})
	}
	t.pix = make([]colour, t.w*t.h)
	for i := range t.pix {
		t.pix[i] = paper
	}
	for _, at := range t.codes {
		for y, row := range code.Rows {
			for x := range row {
				if row[x] == '1' {
					t.rect((at[0]+x)*dots, (at[1]+y)*dots, dots, dots)
				}
			}
		}
	}
	for x := 24; x < 30*dots; x += 14 * dots { // a number, in digits of bars
		for _, bar := range [][4]int{{0, 0, 10, 2}, {0, 8, 10, 2}, {0, 16, 10, 2}, {0, 0, 2, 9}, {8, 0, 2, 9}, {0, 9, 2, 9}, {8, 9, 2, 9}} {
			if r.IntN(4) > 0 {
				t.rect(x+bar[0]*dots, (2+bar[1])*dots, bar[2]*dots, bar[3]*dots)
			}
		}
	}
	for y := 25 * dots; y < t.h-4*dots; y += 5 * dots { // words
		for x := 2 * dots; x < 34*dots; x += dots + r.IntN(2*dots) {
			for stroke := 0; stroke < 3; stroke++ {
				t.rect(x+r.IntN(10), y+r.IntN(2*dots), 3+r.IntN(6), 4+r.IntN(10))
			}
		}
	}
	return t
}

// rect prints a rectangle, in dots.
func (t *tag) rect(x, y, w, h int) {
	for row := max(0, y); row < min(t.h, y+h); row++ {
		for i := max(0, x); i < min(t.w, x+w); i++ {
			t.pix[row*t.w+i] = toner
		}
	}
}
