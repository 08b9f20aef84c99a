package main

import (
	"coldbatch/internal/batch"
	"coldbatch/internal/sheet"
)

// labelCalls lay out labels for the phone to print.
var labelCalls = table{
	"labels.stocks": on(func(struct{}) ([]sheet.Stock, error) { return sheet.Stocks(), nil }),
	"labels.lay":    on(layLabels),
}

// laid are labels as drawings, a page each, and what to record once they were
// printed.
type laid struct {
	Pages   []string           `json:"pages"` // SVG
	Stock   sheet.Stock        `json:"stock"`
	Labels  []batch.PaperLabel `json:"labels"`
	Missing []sheet.Missing    `json:"missing"`
}

func layLabels(q struct {
	State batch.State `json:"state"`
	Env   batch.Env   `json:"env"`
	batch.Pick
	Sheet string `json:"sheet"`
	Start int    `json:"start"`
	Cut   bool   `json:"cut"`
	sheet.Options
}) (out laid, err error) {
	if out.Stock, err = sheet.FindStock(q.Sheet); err != nil {
		return out, err
	}
	if out.Labels, err = batch.Labels(q.State, q.Pick, q.Env); err != nil {
		return out, err
	}
	job := sheet.Job{Stock: out.Stock, Start: q.Start, Cut: q.Cut, Options: q.Options}
	for _, l := range out.Labels {
		job.Tags = append(job.Tags, l.Tag)
	}
	pages, missing, err := job.Pages()
	out.Missing = missing
	for _, p := range pages {
		out.Pages = append(out.Pages, p.SVG())
	}
	return out, err
}
