package main

import (
	"bytes"
	"context"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"time"

	"coldbatch/internal/batchview"
	"coldbatch/internal/hub"
	"coldbatch/internal/press"
	"coldbatch/internal/rights"
	"coldbatch/internal/web"
)

// batchSheet prints a batch as it was planned and done into a PDF.
func (c command) batchSheet(args []string) error {
	var q hub.BatchSheetRequest
	out := "batch.pdf"
	f := c.flags("sheet", func(f *flags) {
		f.StringVar(&out, "out", out, "")
		f.StringVar(&q.Paper, "paper", "", "")
		f.usVar(&q.Style)
	})
	var err error
	if q.Batch, err = f.parseWithArgument(args, "the name of a batch"); err != nil {
		return err
	}
	if !strings.EqualFold(filepath.Ext(out), ".pdf") {
		return usage("a batch sheet cannot be written to %q: the name must end in .pdf", out)
	}
	if err := checkWritable(out); err != nil {
		return err
	}
	var made batchview.BatchSheet
	running, err := callProgram(c.ctx, *f.data, "sheet", q, &made)
	if !running {
		err = c.withJournal(*f.data, func(h *hub.Hub) error {
			s, err := h.LayOutBatchSheet(c.ctx, h.LocalAsker(), q)
			if err == nil {
				made = *s
			}
			return err
		})
	}
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := writeBatchSheet(&b, made); err != nil {
		return err
	}
	if err := os.WriteFile(out, b.Bytes(), 0o644); err != nil {
		return writeError(out, err)
	}
	fmt.Fprintf(c.out, "%s in %s\n", plural(len(made.Pages), "page"), out)
	return nil
}

func writeBatchSheet(b *bytes.Buffer, s batchview.BatchSheet) error {
	return press.PDF(b, "coldbatch: "+s.Name, time.UnixMilli(int64(machineSystem().Now())), s.Pages)
}

// printBatchSheet makes the PDF for a phone.
func (l labelRenderer) printBatchSheet(ctx context.Context, h *hub.Hub, who rights.Asker, query url.Values) (*web.File, error) {
	s, err := h.LayOutBatchSheet(ctx, who, hub.BatchSheetRequest{Batch: query.Get("batch"), Paper: query.Get("paper"), Style: parseStyle(query)})
	if err != nil {
		return nil, err
	}
	release, err := l.wait(ctx)
	if err != nil {
		return nil, err
	}
	defer release()
	var b bytes.Buffer
	if err := writeBatchSheet(&b, *s); err != nil {
		return nil, err
	}
	return &web.File{Name: "batch.pdf", Type: "application/pdf", Body: b.Bytes()}, nil
}
