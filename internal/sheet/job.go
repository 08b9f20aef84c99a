package sheet

import (
	"math"

	"coldbatch/internal/fault"
)

// PrintJob holds labels to print on a label paper. StartPosition is the first free label of a
// half-used sheet, counted in rows from 1; 0 means 1 too. CutLines draws dashed lines between
// the labels, for plain paper. A DPI of 0 is that of the paper.
type PrintJob struct {
	Labels        []LabelText `json:"tags"`
	Paper         LabelPaper  `json:"paper"`
	StartPosition int         `json:"start"`
	CutLines      bool        `json:"cut"`
	Options
}

// LabelOmissions is what was left out of one label.
type LabelOmissions struct {
	Number string `json:"number"`
	Omitted
}

// Pages lays out the labels one after the other, and returns the pages and what was left out
// of each label. It returns code Input for a start beyond the sheet.
func (j PrintJob) Pages() ([]Page, []LabelOmissions, error) {
	s := j.Paper
	each := s.Columns * s.Rows
	start := max(1, j.StartPosition)
	if start > each {
		return nil, nil, fault.New(fault.Input, "a sheet of %d labels has no label %d to start with", each, start)
	}
	if len(j.Labels) == 0 {
		return nil, nil, fault.New(fault.Input, "there is no label to print")
	}
	if j.DPI == 0 {
		j.DPI = s.DPI
	}
	var pages []Page
	omitted := []LabelOmissions{}
	for i, t := range j.Labels {
		at := (start - 1 + i) % each
		if i == 0 || at == 0 {
			pages = append(pages, Page{Width: s.PageWidth, Height: s.PageHeight})
			if j.CutLines && each > 1 {
				s.drawCutLines(&pages[len(pages)-1])
			}
		}
		label, left, err := LayOut(t, s.Width, s.Height, j.Options)
		if err != nil {
			return nil, nil, err
		}
		if len(left.DroppedParts) > 0 || left.UnknownCharacters != "" {
			omitted = append(omitted, LabelOmissions{t.Number, left})
		}
		// A label begins on a dot, so that the modules of its code fall on dots.
		dot := mmPerInch / float64(j.DPI)
		x, y := s.LabelPosition(at)
		pages[len(pages)-1].addLabel(label, math.Round(x/dot)*dot, math.Round(y/dot)*dot)
	}
	return pages, omitted, nil
}

// addLabel adds the drawing q with its upper left corner at x, y.
func (p *Page) addLabel(q Page, x, y float64) {
	move := func(points []Point) []Point {
		out := make([]Point, len(points))
		for i, a := range points {
			out[i] = Point{a.X + x, a.Y + y}
		}
		return out
	}
	for _, a := range q.Areas {
		a.Points = move(a.Points)
		p.Areas = append(p.Areas, a)
	}
	for _, s := range q.Strokes {
		s.Points = move(s.Points)
		p.Strokes = append(p.Strokes, s)
	}
	for _, c := range q.Codes {
		c.X, c.Y = c.X+x, c.Y+y
		p.Codes = append(p.Codes, c)
	}
	for _, t := range q.Texts {
		t.X, t.Y = t.X+x, t.Y+y
		p.Texts = append(p.Texts, t)
	}
}

// drawCutLines draws the lines to cut along, from edge to edge of the paper: one between labels that
// touch, two where there is a gap.
func (s LabelPaper) drawCutLines(p *Page) {
	line := func(a, b Point) {
		p.Strokes = append(p.Strokes, Stroke{Points: []Point{a, b}, Width: 0.15, Dash: 2})
	}
	var before float64
	for i := range s.Columns {
		x := s.LeftMargin + s.PitchAcross*float64(i)
		if i == 0 || x-before > 0.1 {
			line(Point{x, 0}, Point{x, s.PageHeight})
		}
		before = x + s.Width
		line(Point{before, 0}, Point{before, s.PageHeight})
	}
	for i := range s.Rows + 1 {
		y := s.TopMargin + s.PitchDown*float64(i)
		line(Point{0, y}, Point{s.PageWidth, y})
	}
}
