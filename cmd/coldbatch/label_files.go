package main

import (
	"bytes"
	"context"
	"time"

	"coldbatch/internal/fault"
	"coldbatch/internal/hub"
	"coldbatch/internal/press"
)

// labelFilesRequest asks for labels in a file format: pdf, svg or png. With Blanks it reserves
// their numbers first.
type labelFilesRequest struct {
	hub.LabelsRequest
	Blanks *hub.BlanksRequest `json:"blanks,omitempty"`
	Format string             `json:"form"`
}

// labelFiles are the files of an order: one PDF, or an SVG or PNG for each page.
type labelFiles struct {
	hub.Labels
	Files [][]byte `json:"files"`
}

// labelRenderer renders one order at a time, because a picture takes much memory and
// many phones may ask at once.
type labelRenderer struct{ busy chan struct{} }

func newLabelRenderer() labelRenderer { return labelRenderer{make(chan struct{}, 1)} }

// makeLabels carries out an order for the person at this computer.
func (l labelRenderer) makeLabels(ctx context.Context, h *hub.Hub, o labelFilesRequest) (*labelFiles, error) {
	if o.Blanks != nil {
		prints, err := h.ReserveBlanks(ctx, h.LocalAsker(), *o.Blanks)
		if err != nil {
			return nil, err
		}
		o.PrintFacts = prints
	}
	labels, err := h.LayOutLabels(ctx, h.LocalAsker(), o.LabelsRequest)
	if err != nil {
		return nil, err
	}
	files, err := l.render(ctx, labels, o)
	return &labelFiles{*labels, files}, err
}

// wait waits until nothing else is rendered; release lets the next one begin.
func (l labelRenderer) wait(ctx context.Context) (release func(), err error) {
	select {
	case l.busy <- struct{}{}:
		return func() { <-l.busy }, nil
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

// render renders the pages of labels in the format of o.
func (l labelRenderer) render(ctx context.Context, labels *hub.Labels, o labelFilesRequest) (files [][]byte, err error) {
	release, err := l.wait(ctx)
	if err != nil {
		return nil, err
	}
	defer release()
	if o.Format == "pdf" {
		var b bytes.Buffer
		err := press.PDF(&b, "coldbatch: labels, "+labels.Name, time.UnixMilli(int64(machineSystem().Now())), labels.Pages)
		return [][]byte{b.Bytes()}, err
	}
	for _, p := range labels.Pages {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		var b bytes.Buffer
		switch o.Format {
		case "svg":
			b.WriteString(p.SVG())
		case "png":
			if err := press.PNG(&b, p, labels.DPI, o.BlackAndWhite); err != nil {
				return nil, err
			}
		default:
			return nil, fault.New(fault.Input, "labels cannot be written as %q", o.Format).WithHint("as .pdf, .svg or .png")
		}
		files = append(files, b.Bytes())
	}
	return files, nil
}
