package main

import (
	"archive/zip"
	"bytes"
	"context"
	"encoding/csv"
	"fmt"
	"io"
	"os"
	"path"
	"path/filepath"
	"strings"

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

// maxExportBytes is the size of the largest journal that import reads from an export (judgement:
// a hundred times a large journal).
const maxExportBytes = 1 << 30

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
	var b bytes.Buffer
	photos := 0
	switch ext {
	case ".json":
		b.Write(journal.WriteSavedFile(e.Facts))
	case ".csv":
		err = writeTable(&b, e.Table)
	default:
		photos, err = writeExport(&b, e, *f.data)
	}
	if err != nil {
		return err
	}
	if err := os.WriteFile(out, b.Bytes(), 0o600); err != nil { // it holds the secrets of labels
		return writeError(out, err)
	}
	fmt.Fprintf(c.out, "%s in %s", plural(len(e.Facts), "entry"), out)
	if ext == ".zip" {
		fmt.Fprintf(c.out, ", with %s", plural(photos, "photo"))
	}
	fmt.Fprintln(c.out)
	return nil
}

func exportJournalOf(ctx context.Context, h *hub.Hub) (*hub.ExportedJournal, error) {
	return h.Export(ctx, h.LocalAsker())
}

// writeExport writes the zip. It holds no times, so that the same journal gives the same bytes.
func writeExport(w io.Writer, e hub.ExportedJournal, data string) (photos int, err error) {
	z := zip.NewWriter(w)
	add := func(name string, method uint16, content []byte) error {
		file, err := z.CreateHeader(&zip.FileHeader{Name: name, Method: method})
		if err == nil {
			_, err = file.Write(content)
		}
		return err
	}
	var table bytes.Buffer
	if err := writeTable(&table, e.Table); err != nil {
		return 0, err
	}
	if err := add(exportJournal, zip.Deflate, journal.WriteSavedFile(e.Facts)); err != nil {
		return 0, err
	}
	if err := add(exportTable, zip.Deflate, table.Bytes()); err != nil {
		return 0, err
	}
	store := photosIn(data)
	for _, hash := range e.Photos {
		b, err := store.Get(hash)
		if fault.Is(err, fault.NotFound) {
			continue // it is still on a phone
		}
		if err != nil {
			return photos, err
		}
		if err := add(exportPhotos+"/"+hash+".jpg", zip.Store, b); err != nil {
			return photos, err
		}
		photos++
	}
	return photos, z.Close()
}

// writeTable writes rows as CSV by RFC 4180, which spreadsheets read.
func writeTable(w io.Writer, rows [][]string) error {
	c := csv.NewWriter(w)
	c.UseCRLF = true
	return c.WriteAll(rows)
}

// readExport returns the facts of an export or of a file that the app saved, and keeps the
// photos in it.
func readExport(name, data string) (facts []journal.Fact, unread, photos int, err error) {
	if !strings.EqualFold(filepath.Ext(name), ".zip") {
		facts, unread, err = readSavedFile(name)
		return facts, unread, 0, err
	}
	z, err := zip.OpenReader(name)
	if err != nil {
		return nil, 0, 0, fault.New(fault.Damaged, "the file %s cannot be read as a zip: %v", name, err)
	}
	defer z.Close()
	found := false
	for _, file := range z.File {
		hash, isPhoto := strings.CutSuffix(file.Name, ".jpg")
		switch {
		case file.Name == exportJournal:
			text, err := readZipped(file, maxExportBytes)
			if err != nil {
				return nil, 0, 0, err
			}
			found = true
			if facts, unread, err = journal.ReadSavedFile(name, text); err != nil {
				return nil, 0, 0, err
			}
		case isPhoto && path.Dir(file.Name) == exportPhotos:
			b, err := readZipped(file, journal.MaxPhotoBytes)
			if err != nil {
				return nil, 0, 0, err
			}
			if err := photosIn(data).Put(path.Base(hash), b); err != nil {
				return nil, 0, 0, err
			}
			photos++
		}
	}
	if !found {
		return nil, 0, 0, fault.New(fault.Damaged, "%s holds no %s", name, exportJournal).WithHint("a file that `coldbatch export` wrote")
	}
	return facts, unread, photos, nil
}

// readZipped reads one file of a zip, of at most limit bytes.
func readZipped(file *zip.File, limit int64) ([]byte, error) {
	r, err := file.Open()
	if err != nil {
		return nil, fault.New(fault.Damaged, "%s in the zip cannot be read: %v", file.Name, err)
	}
	defer r.Close()
	b, err := io.ReadAll(io.LimitReader(r, limit+1))
	if err != nil {
		return nil, fault.New(fault.Damaged, "%s in the zip cannot be read: %v", file.Name, err)
	}
	if int64(len(b)) > limit {
		return nil, fault.New(fault.Input, "%s in the zip has more than %d bytes", file.Name, limit)
	}
	return b, nil
}
