package main

import (
	"context"
	"net/url"
	"strconv"
	"strings"

	"coldbatch/internal/fault"
	"coldbatch/internal/hub"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
	"coldbatch/internal/unit"
	"coldbatch/internal/web"
)

// PrintLabels makes a file of labels for a phone, as a query describes them: a PDF, or
// one page as SVG or PNG. With what=batch it makes the sheet of a batch, a PDF.
func (p *Program) PrintLabels(ctx context.Context, who rights.Asker, query url.Values) (*web.File, error) {
	if query.Get("what") == "batch" {
		return p.renderer.printBatchSheet(ctx, p.activeHub.Load(), who, query)
	}
	return p.renderer.printLabels(ctx, p.activeHub.Load(), who, query)
}

func (l labelRenderer) printLabels(ctx context.Context, h *hub.Hub, who rights.Asker, query url.Values) (*web.File, error) {
	o, err := parseLabelQuery(query)
	if err != nil {
		return nil, err
	}
	labels, err := h.LayOutLabels(ctx, who, o.LabelsRequest)
	if err != nil {
		return nil, err
	}
	if n := len(labels.Pages); n > 1 && o.Format != "pdf" {
		return nil, fault.New(fault.Input, "%d pages do not fit into one %s file", n, o.Format).WithHint("ask for a PDF")
	}
	files, err := l.render(ctx, labels, o)
	if err != nil {
		return nil, err
	}
	contentTypes := map[string]string{"pdf": "application/pdf", "svg": "image/svg+xml", "png": "image/png"}
	return &web.File{Name: "labels." + o.Format, Type: contentTypes[o.Format], Body: files[0]}, nil
}

// parseLabelQuery reads an order of labels from a query. What is not given is as for
// `coldbatch label`.
func parseLabelQuery(query url.Values) (labelFilesRequest, error) {
	get := query.Get
	o := labelFilesRequest{Format: get("form")}
	o.Batch, o.Sheet, o.LabelKind = get("batch"), get("sheet"), get("what")
	if o.Format == "" {
		o.Format = "pdf"
	}
	if o.Sheet == "" {
		o.Sheet = defaultSheet
	}
	if bags := get("bags"); bags != "" {
		o.Bags = strings.Split(bags, ",")
	}
	o.Unprinted, o.BlackAndWhite, o.CutLines = get("unprinted") != "", get("mono") != "", get("cut") != ""
	o.PrintFacts, o.Colours = splitIDs(get("prints")), splitIDs(get("colours"))
	o.Style = parseStyle(query)
	for key, into := range map[string]*int{"start": &o.StartPosition, "dpi": &o.DPI, "copies": &o.Copies} {
		if text := get(key); text != "" {
			n, err := strconv.Atoi(text)
			if err != nil {
				return o, fault.New(fault.Input, "%q is not a whole number", text).At(key, text)
			}
			*into = n
		}
	}
	return o, nil
}

// parseStyle reads how a phone displays numbers.
func parseStyle(query url.Values) unit.Style {
	s := unit.Style{Comma: query.Get("comma") != "", Clock12: query.Get("clock12") != ""}
	if query.Get("us") != "" {
		s.System = unit.US
	}
	return s
}

// splitIDs splits a list of ids at its commas.
func splitIDs(text string) (ids []journal.ID) {
	for id := range strings.FieldsFuncSeq(text, func(r rune) bool { return r == ',' }) {
		ids = append(ids, journal.ID(id))
	}
	return ids
}
