package labeldamage

import (
	"math/rand/v2"

	"coldbatch/internal/sheet"
)

// dotsPerModule is the width of a module in dots of the tag's raster.
const dotsPerModule = 8

// colour is a reflectance or a light: red, green and blue, linear, from 0 to 1.
type colour [3]float32

func (c colour) times(d colour) colour { return colour{c[0] * d[0], c[1] * d[1], c[2] * d[2]} }

var (
	paperReflectance = colour{0.80, 0.80, 0.77}
	tonerReflectance = colour{0.035, 0.035, 0.04}
)

// paperLabel is a printed label as a raster, with the positions of its codes in modules.
type paperLabel struct {
	w, h  int // in dots
	pix   []colour
	side  int // modules of a code, without its quiet zone
	codes [][2]int
}

// printLabel prints code at the right of a label, or twice, one above the other, and beside
// it a number and lines that look like words.
func printLabel(code sheet.Matrix, two bool, r *rand.Rand) *paperLabel {
	whole := code.Size + 2*sheet.QuietZone
	t := &paperLabel{side: code.Size, w: (whole + 38) * dotsPerModule, h: (whole + 2) * dotsPerModule}
	t.codes = [][2]int{{37 + sheet.QuietZone, 1 + sheet.QuietZone}}
	if two {
		t.h = (2*whole + 6) * dotsPerModule // the id typed by hand stands between
		t.codes = append(t.codes, [2]int{37 + sheet.QuietZone, 5 + whole + sheet.QuietZone})
	}
	t.pix = make([]colour, t.w*t.h)
	for i := range t.pix {
		t.pix[i] = paperReflectance
	}
	for _, at := range t.codes {
		for y, row := range code.Rows {
			for x := range row {
				if row[x] == '1' {
					t.rect((at[0]+x)*dotsPerModule, (at[1]+y)*dotsPerModule, dotsPerModule, dotsPerModule)
				}
			}
		}
	}
	for x := 24; x < 30*dotsPerModule; x += 14 * dotsPerModule { // a number, in digits of bars
		for _, bar := range [][4]int{{0, 0, 10, 2}, {0, 8, 10, 2}, {0, 16, 10, 2}, {0, 0, 2, 9}, {8, 0, 2, 9}, {0, 9, 2, 9}, {8, 9, 2, 9}} {
			if r.IntN(4) > 0 {
				t.rect(x+bar[0]*dotsPerModule, (2+bar[1])*dotsPerModule, bar[2]*dotsPerModule, bar[3]*dotsPerModule)
			}
		}
	}
	for y := 25 * dotsPerModule; y < t.h-4*dotsPerModule; y += 5 * dotsPerModule { // words
		for x := 2 * dotsPerModule; x < 34*dotsPerModule; x += dotsPerModule + r.IntN(2*dotsPerModule) {
			for stroke := 0; stroke < 3; stroke++ {
				t.rect(x+r.IntN(10), y+r.IntN(2*dotsPerModule), 3+r.IntN(6), 4+r.IntN(10))
			}
		}
	}
	return t
}

// rect prints a rectangle, in dots.
func (t *paperLabel) rect(x, y, w, h int) {
	for row := max(0, y); row < min(t.h, y+h); row++ {
		for i := max(0, x); i < min(t.w, x+w); i++ {
			t.pix[row*t.w+i] = tonerReflectance
		}
	}
}
