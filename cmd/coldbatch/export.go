package main

import (
	"archive/zip"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"coldbatch/internal/batchview"
	"coldbatch/internal/fault"
	"coldbatch/internal/hub"
	"coldbatch/internal/journal"
)

// The files in an export: the journal, which import reads, a table of bags for a spreadsheet,
// and the photos.
const (
	exportJournal = "coldbatch.json"
	exportTable   = "bags.csv"
	exportPhotos  = "photos"
)

// export writes everything into one file: a zip, or without photos and table a .json, or the
// table alone as .csv.
func (c command) export(args []string) error {
	f := c.flags("export", func(*flags) {})
	out, err := f.parseWithArgument(args, "the name of a file that ends in .zip, .json or .csv")
	if err != nil {
		return err
	}
	ext := strings.ToLower(filepath.Ext(out))
	if ext != ".zip" && ext != ".json" && ext != ".csv" {
		return usage("an export cannot be written to %q: the name must end in .zip, .json or .csv", out)
	}
	if fileExists(out) {
		return fault.New(fault.Conflict, "there is already a file %s", out).WithHint("give another name; the file is not replaced")
	}
	if err := checkWritable(out); err != nil {
		return err
	}
	var e hub.ExportedJournal
	running, err := callProgram(c.ctx, *f.data, "export", nil, &e)
	if !running {
		err = c.withJournal(*f.data, func(h *hub.Hub) error {
			made, err := exportJournalOf(c.ctx, h)
			if err == nil {
				e = *made
			}
			return err
		})
	}
	if err != nil {
		return err
	}
	photos := 0
	var problems []string
	err = replaceFile(out, func(w io.Writer) error {
		switch ext {
		case ".json":
			_, err := w.Write(journal.WriteSavedFile(e.Facts))
			return err
		case ".csv":
			_, err := w.Write(batchview.WriteTable(e.Table))
			return err
		}
		photos, problems, err = writeExport(w, e, *f.data)
		return err
	})
	if err != nil {
		return err
	}
	for _, p := range problems {
		fmt.Fprintln(c.err, p)
	}
	fmt.Fprintf(c.out, "%s in %s", plural(len(e.Facts), "entry"), out)
	if ext == ".zip" {
		fmt.Fprintf(c.out, ", with %s", plural(photos, "photo"))
	}
	fmt.Fprintln(c.out)
	if len(problems) > 0 {
		return fault.New(fault.Damaged, "the export lacks %s", plural(len(problems), "photo")).
			WithHint("delete the damaged file; a phone that has the photo then sends it again")
	}
	return nil
}

// replaceFile has write fill a temporary file in path's folder and names it path only once it
// is complete: an earlier export stays as it was when the disk is full or the power fails.
// Only this user may read it, since it holds the secrets of labels.
func replaceFile(path string, write func(io.Writer) error) error {
	temp, err := os.CreateTemp(filepath.Dir(path), filepath.Base(path)+".new-*") // mode 0600
	if err != nil {
		return writeError(path, err)
	}
	defer os.Remove(temp.Name()) // no effect once the file is renamed
	err = write(temp)
	if err == nil {
		err = temp.Sync()
	}
	if err = errors.Join(err, temp.Close()); err == nil {
		err = os.Rename(temp.Name(), path)
	}
	if known := new(fault.Fault); err != nil && !errors.As(err, &known) {
		return writeError(path, err)
	}
	return err
}

func exportJournalOf(ctx context.Context, h *hub.Hub) (*hub.ExportedJournal, error) {
	return h.Export(ctx, h.LocalAsker())
}

// writeExport writes the zip. It holds no times, so that the same journal gives the same bytes.
// A damaged photo is left out, and problems has a sentence for each.
func writeExport(w io.Writer, e hub.ExportedJournal, data string) (photos int, problems []string, err error) {
	z := zip.NewWriter(w)
	add := func(name string, method uint16, content []byte) error {
		file, err := z.CreateHeader(&zip.FileHeader{Name: name, Method: method})
		if err == nil {
			_, err = file.Write(content)
		}
		return err
	}
	if err := add(exportJournal, zip.Deflate, journal.WriteSavedFile(e.Facts)); err != nil {
		return 0, nil, err
	}
	if err := add(exportTable, zip.Deflate, batchview.WriteTable(e.Table)); err != nil {
		return 0, nil, err
	}
	store := photosIn(data)
	for _, hash := range e.Photos {
		b, err := store.Get(hash)
		if fault.Is(err, fault.NotFound) {
			continue // it is still on a phone
		}
		if fault.Is(err, fault.Damaged) {
			problems = append(problems, fault.AsFault(err).Sentence)
			continue
		}
		if err != nil {
			return photos, problems, err
		}
		if err := add(exportPhotos+"/"+hash+".jpg", zip.Store, b); err != nil {
			return photos, problems, err
		}
		photos++
	}
	return photos, problems, z.Close()
}
