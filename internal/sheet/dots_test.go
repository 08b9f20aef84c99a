package sheet

import (
	"math"
	"testing"
)

// A printer burns whole dots: where a code begins between two, or has modules of a
// fraction of a dot, some modules come out wider than others. Every code begins on a
// dot and every module is whole dots, on every paper, with every label of a page.
func TestCodesLieOnWholeDots(t *testing.T) {
	for _, paper := range LabelPapers() {
		for _, dpi := range []int{paper.DPI, 203, 300, 600} {
			dot := mmPerInch / float64(dpi)
			isWhole := func(mm float64) bool { return math.Abs(mm/dot-math.Round(mm/dot)) < 1e-6 }
			job := PrintJob{Paper: paper, Options: Options{DPI: dpi}}
			for n := range min(24, paper.Columns*paper.Rows+1) {
				job.Labels = append(job.Labels, sampleLabelText("12", n%9))
			}
			pages, _, err := job.Pages()
			if err != nil {
				t.Fatal(err)
			}
			codes := 0
			for _, p := range pages {
				for _, c := range p.Codes {
					codes++
					if !isWhole(c.X) || !isWhole(c.Y) {
						t.Errorf("%s at %d dots an inch: a code begins at %.3f, %.3f dots", paper.Name, dpi, c.X/dot, c.Y/dot)
					}
					if !isWhole(c.Module) || c.Module < dot/2 {
						t.Errorf("%s at %d dots an inch: a module is %.3f dots", paper.Name, dpi, c.Module/dot)
					}
				}
			}
			if codes < len(job.Labels) {
				t.Errorf("%s: %d labels have %d codes", paper.Name, len(job.Labels), codes)
			}
		}
	}
}
