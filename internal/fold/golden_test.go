package fold

import (
	"bytes"
	"flag"
	"image"
	"image/color"
	"image/png"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"coldbatch/internal/colour"
)

var draw = flag.Bool("draw", false, "draw the golden pictures of the starters anew")

// goldenSize is small: what counts is where the colours lie, not the single pixel.
const goldenSize = 64

// maxMeanDifference is the mean ΔE2000 by which a picture may differ from the golden one: a little
// is left to the last bits of floating point, which differ between machines.
const maxMeanDifference = 0.5

// Each design to start from looks as it did when a person last looked at it and found it
// like dyed cloth. After a change on purpose: go test ./internal/fold -run Golden -draw,
// and look at the pictures.
func TestGoldenPictures(t *testing.T) {
	for _, d := range Starters() {
		if err := d.Check(); err != nil {
			t.Errorf("%s: %v", d.Name, err)
			continue
		}
		got := drawSmall(t, &d)
		path := filepath.Join("testdata", strings.ReplaceAll(strings.ToLower(d.Name), " ", "-")+".png")
		if *draw {
			writePNG(t, path, got)
			continue
		}
		want := readPNG(t, path)
		if mean := meanDifference(t, got, want); mean > maxMeanDifference {
			t.Errorf("%s looks different: mean ΔE2000 %.2f, at most %g", d.Name, mean, maxMeanDifference)
		}
	}
}

// The comparison sees what a person would: another seed, a fifth less dye, other colours.
func TestGoldenPicturesTellApart(t *testing.T) {
	d := Starters()[0]
	want := drawSmall(t, &d)
	for what, change := range map[string]func(d *Design){
		"another turn": func(d *Design) { d.Fold.Turns = 1.7 }, "less dye": func(d *Design) { d.Dye *= 0.7 },
		"another centre": func(d *Design) { d.Fold.Center.X = 0.03 }, "another colour": func(d *Design) { d.Colours = []DesignColour{rust, gold, blue} },
	} {
		changed := d
		change(&changed)
		if mean := meanDifference(t, drawSmall(t, &changed), want); mean < 2*maxMeanDifference {
			t.Errorf("%s is a mean ΔE2000 of %.2f and would hardly be seen", what, mean)
		}
	}
}

func drawSmall(t *testing.T, d *Design) *image.NRGBA {
	t.Helper()
	full, err := d.FullColours()
	if err != nil {
		t.Fatal(err)
	}
	m := mustMap(t, mustGarment(t, d.Garment), d.Fold, 4*goldenSize)
	c, err := m.ApplyDye(d.DyeApplication(full, 1))
	if err != nil {
		t.Fatal(err)
	}
	return shrink(&image.NRGBA{Pix: c.Picture(0, false), Stride: 16 * goldenSize, Rect: image.Rect(0, 0, 4*goldenSize, 4*goldenSize)})
}

// shrink takes the mean of 4 × 4 pixels; what is half empty is clear.
func shrink(big *image.NRGBA) *image.NRGBA {
	small := image.NewNRGBA(image.Rect(0, 0, goldenSize, goldenSize))
	for y := range goldenSize {
		for x := range goldenSize {
			var sum [4]int
			for k := range 16 {
				p := big.NRGBAAt(4*x+k%4, 4*y+k/4)
				if p.A > 0 {
					for i, v := range []uint8{p.R, p.G, p.B} {
						sum[i] += int(v)
					}
					sum[3]++
				}
			}
			if sum[3] >= 8 {
				small.SetNRGBA(x, y, color.NRGBA{uint8(sum[0] / sum[3]), uint8(sum[1] / sum[3]), uint8(sum[2] / sum[3]), 255})
			}
		}
	}
	return small
}

// meanDifference returns the mean ΔE2000 of the pixels that both pictures have.
func meanDifference(t *testing.T, a, b *image.NRGBA) float64 {
	t.Helper()
	sum, n, alone := 0., 0, 0
	for i := 0; i < len(a.Pix); i += 4 {
		p, q := a.Pix[i:i+4], b.Pix[i:i+4]
		switch {
		case p[3] != q[3]:
			alone++
		case p[3] > 0:
			sum += colour.Difference(colour.FromSRGB(p[0], p[1], p[2]), colour.FromSRGB(q[0], q[1], q[2]))
			n++
		}
	}
	if n == 0 || alone > n/50 {
		t.Errorf("the outline is another: %d pixels in one picture alone, %d in both", alone, n)
		return 100
	}
	return sum / float64(n)
}

func writePNG(t *testing.T, path string, m image.Image) {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, m); err != nil {
		t.Fatal(err)
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, b.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
}

func readPNG(t *testing.T, path string) *image.NRGBA {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatalf("%v: go test ./internal/fold -run Golden -draw, and look at it", err)
	}
	m, err := png.Decode(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	if n, ok := m.(*image.NRGBA); ok {
		return n
	}
	out := image.NewNRGBA(m.Bounds())
	for y := range m.Bounds().Dy() {
		for x := range m.Bounds().Dx() {
			out.Set(x, y, m.At(x, y))
		}
	}
	return out
}
