package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"io"
	"os"
	"strconv"
	"strings"

	"coldbatch/internal/fault"
	"coldbatch/internal/fold"
	"coldbatch/internal/unit"
)

// foldOptions is what `coldbatch fold` is asked for.
type foldOptions struct {
	garment, sections, out string
	fold                   fold.Fold
	dye                    float64 // of what the cloth takes
	oneSide                bool
	creases                float64
	wet, json              bool
	size                   int
}

// foldCommand shows how a folded piece looks opened out and prints the report.
func (c command) foldCommand(args []string) error {
	o := foldOptions{}
	kind, center := "", ""
	dye, creases, seed := 110, 0, 0
	f := c.flags("fold", func(f *flags) {
		f.argumentName = "no arguments, only flags"
		f.StringVar(&kind, "fold", "spiral", "")
		f.StringVar(&o.garment, "garment", "tee-l", "")
		f.StringVar(&o.sections, "sections", "", "")
		f.StringVar(&o.out, "out", "", "")
		f.StringVar(&center, "center", "0,0", "")
		f.Float64Var(&o.fold.Turns, "turns", 0, "")
		f.intVar(&o.fold.Pleats, "pleats")
		f.intVar(&dye, "dye")
		f.intVar(&creases, "creases")
		f.intVar(&o.size, "size")
		f.BoolVar(&o.oneSide, "one-side", false, "")
		f.BoolVar(&o.wet, "wet", false, "")
		f.BoolVar(&o.json, "json", false, "")
		f.intVar(&seed, "seed")
	})
	if err := f.parse(args, 0); err != nil {
		return err
	}
	o.fold.Kind, o.fold.Seed = fold.Kind(kind), uint32(seed)
	x, y, _ := strings.Cut(center, ",")
	var err1, err2 error
	o.fold.Center.X, err1 = strconv.ParseFloat(x, 64)
	o.fold.Center.Y, err2 = strconv.ParseFloat(y, 64)
	switch {
	case errors.Join(err1, err2) != nil:
		return usage("fold: %q is not a centre: two shares of width and height from the middle, as in 0,-0.1", center)
	case dye < 0 || dye > 200:
		return usage("fold: --dye %d is out of range: 0 to 200 %% of what the cloth takes", dye)
	case creases < 0 || creases > 100:
		return usage("fold: --creases %d is out of range: 0 to 100 %% of the dye", creases)
	case o.size != 0 && (o.size < 64 || o.size > 2048):
		return usage("fold: --size %d is out of range: 64 to 2048 pixels", o.size)
	case strings.TrimSpace(o.sections) == "":
		return usage("fold: --sections is missing: colours such as 'rust;deep yellow;blue-green'")
	case o.out != "" && !strings.HasSuffix(o.out, ".png"):
		return usage("fold: --out %q must end in .png", o.out)
	}
	o.dye, o.creases = float64(dye)/100, float64(creases)/100
	if o.size == 0 {
		o.size = 512
	}
	return o.run(c.out)
}

// run folds, dyes, prints the report and writes the picture.
func (o foldOptions) run(w io.Writer) error {
	garment, err := fold.NewGarment(o.garment)
	if err != nil {
		return err
	}
	design, err := o.design()
	if err != nil {
		return err
	}
	m, err := fold.NewMap(garment, o.fold, o.size)
	if err != nil {
		return err
	}
	cloth, err := m.ApplyDye(design)
	if err != nil {
		return err
	}
	report, err := cloth.Report()
	if err != nil {
		return err
	}
	if o.out != "" {
		if err := o.picture(m, cloth); err != nil {
			return err
		}
	}
	if o.json {
		encoder := json.NewEncoder(w)
		encoder.SetIndent("", "  ")
		return encoder.Encode(report)
	}
	_, err = io.WriteString(w, o.formatReport(garment, report))
	return err
}

// design reads the sections.
func (o foldOptions) design() (*fold.DyeApplication, error) {
	var colours []fold.Colour
	for name := range strings.SplitSeq(o.sections, ";") {
		if strings.TrimSpace(name) == "" {
			continue
		}
		colour, err := fold.NewColour(name)
		if err != nil {
			return nil, err
		}
		colours = append(colours, colour)
	}
	design, err := fold.NewDyeApplication(o.fold, colours, o.dye)
	if err != nil {
		return nil, err
	}
	if o.oneSide {
		design.DyeOneSideOnly()
	}
	for i := range design.Steps {
		design.Steps[i].Crease = o.creases
	}
	return design, nil
}

// formatReport says what goes where, what stays white and what would help.
func (o foldOptions) formatReport(g fold.Garment, r fold.Report) string {
	var b strings.Builder
	ml := func(v float64) string { return unit.Show(unit.KindVolume, v, unit.Style{}) }
	percent := func(v float64) string { return fmt.Sprintf("%.0f %%", 100*v) } // no model is better
	fmt.Fprintf(&b, "%s, %s, about %s dry\n\n", strings.ReplaceAll(string(o.fold.Kind), "-", " "), g.Words, unit.Show(unit.KindMass, r.Grams, unit.Style{}))
	for _, s := range r.Steps {
		side := "side " + strings.ToUpper(string(s.Side))
		if o.fold.Kind == fold.Rings {
			side = "all round"
		}
		fmt.Fprintf(&b, "  %-9s  %-24s  %8s\n", side, s.Colour, ml(s.ML))
	}
	fmt.Fprintf(&b, "  %-9s  %-24s  %8s\n", "in all", "", ml(r.ML))
	if r.RunOffML > 1 {
		fmt.Fprintf(&b, "  %-9s  %-24s  %8s\n", "runs off", "", ml(r.RunOffML))
	}
	fmt.Fprintf(&b, "\nWhite inside: %s of the cloth; %s with 20 %% less dye, %s with 20 %% more\n", percent(r.WhiteShare), percent(r.WhiteWithLess), percent(r.WhiteWithMore))
	for _, remedy := range r.Remedies {
		fmt.Fprintf(&b, "  %s: %s\n", remedy.Words, percent(remedy.WhiteShare))
	}
	var shares []string
	for _, s := range r.ColourShares {
		shares = append(shares, s.Colour+" "+percent(s.Share))
	}
	if r.LeftWhite >= 0.01 {
		shares = append(shares, "left white "+percent(r.LeftWhite))
	}
	fmt.Fprintf(&b, "Of the cloth: %s\n", strings.Join(shares, ", "))
	if o.out != "" {
		fmt.Fprintf(&b, "%s: front and back as planned; below, the front with 20 %% less and 20 %% more dye\n", o.out)
	}
	b.WriteString("\nA model, not a measurement: fold and dye a small cloth first.\n")
	return b.String()
}

// picture writes front and back as planned, and below the front with less and more dye.
func (o foldOptions) picture(m *fold.Map, cloth *fold.DyedCloth) error {
	tiles := [][]byte{cloth.Picture(0, o.wet), cloth.Picture(1, o.wet)}
	for _, factor := range []float64{1 - fold.RemedyFillRange, 1 + fold.RemedyFillRange} {
		changed, err := m.ApplyDye(cloth.Dyeing.Scaled(factor))
		if err != nil {
			return err
		}
		tiles = append(tiles, changed.Picture(0, o.wet))
	}
	sheet := image.NewNRGBA(image.Rect(0, 0, 2*m.Size, 2*m.Size))
	draw.Draw(sheet, sheet.Rect, image.NewUniform(color.NRGBA{0xD9, 0xD3, 0xC5, 0xFF}), image.Point{}, draw.Src)
	for i, pixels := range tiles {
		if pixels == nil {
			continue // a cloth of one layer has no back
		}
		tile := &image.NRGBA{Pix: pixels, Stride: 4 * m.Size, Rect: image.Rect(0, 0, m.Size, m.Size)}
		at := image.Pt(i%2*m.Size, i/2*m.Size)
		draw.Draw(sheet, tile.Rect.Add(at), tile, image.Point{}, draw.Over)
	}
	file, err := os.Create(o.out)
	if err != nil {
		return fault.New(fault.Input, "%q cannot be written", o.out).WithHint("%v", err)
	}
	return errors.Join(png.Encode(file, sheet), file.Close())
}
