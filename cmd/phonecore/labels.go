package main

import (
	"slices"

	"coldbatch/internal/batch"
	"coldbatch/internal/batchview"
	"coldbatch/internal/sheet"
	"coldbatch/internal/shelf"
	"coldbatch/internal/unit"
)

// labelCalls lay out labels for the phone to print.
var labelCalls = callTable{
	"papers.list": jsonCall(listPapers),
	"paper.find": jsonCall(func(q struct {
		Sheet string `json:"sheet"`
	}) (paperView, error) {
		s, err := sheet.FindPaper(q.Sheet)
		return paperView{LabelPaper: s, InOtherUnits: s.SizeInOtherUnits(), Typed: s.CustomSizeText()}, err
	}),
	"labels.layOut": jsonCall(layOutLabels),
	"batch.sheet":   jsonCall(layOutBatchSheet),
}

// paperView is a label paper that the user can choose, with its size also in the other unit system
// (mm or inches).
type paperView struct {
	sheet.LabelPaper
	InOtherUnits string `json:"also"`
	// Width and height as a person would type them, by unit (mm, in); only of a custom size.
	Typed map[string][2]string `json:"typed,omitempty"`
}

// listPapers lists the papers, those in the person's own system first.
func listPapers(style unit.Style) (out []paperView, err error) {
	for _, s := range sheet.LabelPapers() {
		out = append(out, paperView{LabelPaper: s, InOtherUnits: s.SizeInOtherUnits()})
	}
	slices.SortStableFunc(out, func(a, b paperView) int {
		switch us := style.System == unit.US; {
		case a.InInches == b.InInches:
			return 0
		case a.InInches == us:
			return -1
		}
		return 1
	})
	return out, nil
}

// labelPages are pages of labels as drawings, and what to record once they are printed.
type labelPages struct {
	batchview.LabelLayout
	Pages []string `json:"pages"` // SVG
	First labelBox `json:"first"` // where the first label lies
}

// labelBox is where a label lies on its page, in mm from the upper left corner.
type labelBox struct {
	X      float64 `json:"x"`
	Y      float64 `json:"y"`
	Width  float64 `json:"width"`
	Height float64 `json:"height"`
}

func layOutLabels(q struct {
	State batch.State       `json:"state"`
	Env   batchview.ViewEnv `json:"env"`
	batchview.LabelLayoutRequest
}) (out labelPages, err error) {
	out.LabelLayout, err = q.LabelLayoutRequest.LayOut(q.State, q.Env)
	for _, p := range out.LabelLayout.Pages {
		out.Pages = append(out.Pages, p.SVG())
	}
	if err == nil {
		x, y := out.Paper.LabelPosition(max(0, q.StartPosition-1))
		out.First = labelBox{x, y, out.Paper.Width, out.Paper.Height}
	}
	return out, err
}

// batchSheetArgs name a batch, with the shelf, and the paper: a4, letter, or "" for what the style suggests.
type batchSheetArgs struct {
	State batch.State       `json:"state"`
	Shelf shelf.State       `json:"shelf"`
	Env   batchview.ViewEnv `json:"env"`
	Paper string            `json:"paper,omitempty"`
}

// batchSheetView is a batch on sheets of paper, each page as SVG.
type batchSheetView struct {
	Pages []string             `json:"pages"`
	Paper batchview.SheetPaper `json:"paper"`
}

func layOutBatchSheet(q batchSheetArgs) (batchSheetView, error) {
	s, err := batchview.LayOutBatchSheet(q.State, q.Shelf, q.Paper, q.Env)
	v := batchSheetView{Pages: []string{}, Paper: s.Paper}
	for _, p := range s.Pages {
		v.Pages = append(v.Pages, p.SVG())
	}
	return v, err
}
