package main

import (
	"archive/zip"
	"context"
	"fmt"
	"io"
	"os"
	"path"
	"path/filepath"
	"strings"

	"coldbatch/internal/exchange"
	"coldbatch/internal/fault"
	"coldbatch/internal/hub"
	"coldbatch/internal/journal"
)

// maxExportBytes is the size of the largest journal that import reads from a zip (judgement: thirty
// times a large journal). A zip of a few hundred kB can hold more than this computer's memory.
const maxExportBytes = 256 << 20

// importResult says what an import added.
type importResult struct {
	Added   int                `json:"added"`
	Refused []exchange.Refusal `json:"refused"`
}

func importFacts(ctx context.Context, h *hub.Hub, facts []journal.Fact) (*importResult, error) {
	added, refused, err := h.Import(ctx, facts)
	return &importResult{added, refused}, err
}

// describeRefused says which entries were refused, and why: one line for each reason.
func describeRefused(refused []exchange.Refusal) (lines []string) {
	var sentences []string // in order
	ids := map[string][]string{}
	for _, r := range refused {
		if ids[r.Sentence] == nil {
			sentences = append(sentences, r.Sentence)
		}
		ids[r.Sentence] = append(ids[r.Sentence], string(r.ID))
	}
	for _, s := range sentences {
		if n := len(ids[s]); n > 1 {
			lines = append(lines, fmt.Sprintf("%s were refused: %s (%s and others)", plural(n, "entry"), s, ids[s][0]))
		} else {
			lines = append(lines, fmt.Sprintf("%s was refused: %s", ids[s][0], s))
		}
	}
	return lines
}

// importFile adds a journal that the app saved as a file to the program's.
func (c command) importFile(args []string) error {
	f := c.flags("import", func(*flags) {})
	if err := f.parse(args, 1); err != nil {
		return err
	}
	file, err := openImported(f.Arg(0))
	if err != nil {
		return err
	}
	defer file.close()
	result := &importResult{}
	running, err := callProgram(c.ctx, *f.data, "take", file.facts, result)
	if !running {
		err = c.withJournal(*f.data, func(h *hub.Hub) (err error) {
			result, err = importFacts(c.ctx, h, file.facts)
			return err
		})
	}
	if err != nil {
		return err
	}
	fmt.Fprintf(c.out, "%s of %d were new\n", plural(result.Added, "entry"), len(file.facts)+file.unread)
	for _, line := range describeRefused(result.Refused) {
		fmt.Fprintln(c.err, line)
	}
	if file.unread > 0 {
		fmt.Fprintf(c.err, "%s could not be read\n", plural(file.unread, "entry"))
	}
	photos, problems, err := file.putPhotos(*f.data)
	if photos > 0 {
		fmt.Fprintf(c.out, "%s kept\n", plural(photos, "photo"))
	}
	for _, p := range problems {
		fmt.Fprintln(c.err, p)
	}
	if err == nil && len(problems) > 0 {
		err = fault.New(fault.Damaged, "the entries were added, but %s could not be", plural(len(problems), "photo")).
			WithHint("a phone that has the photo sends it")
	}
	return err
}

// importedFile is a file that import reads: an export, or a journal that the app saved.
type importedFile struct {
	facts  []journal.Fact
	unread int // entries that cannot be read
	photos []*zip.File
	close  func() error
}

// openImported reads the facts of a file. The photos in it are read by putPhotos, after the
// facts are stored.
func openImported(name string) (*importedFile, error) {
	if !strings.EqualFold(filepath.Ext(name), ".zip") {
		facts, unread, err := readSavedFile(name)
		return &importedFile{facts, unread, nil, func() error { return nil }}, err
	}
	z, err := zip.OpenReader(name)
	if err != nil {
		return nil, fault.New(fault.Damaged, "the file %s cannot be read as a zip: %v", name, err)
	}
	f := &importedFile{close: z.Close}
	if err := f.readZip(name, z.File); err != nil {
		z.Close()
		return nil, err
	}
	return f, nil
}

// readZip reads the journal of an export and finds its photos.
func (f *importedFile) readZip(name string, files []*zip.File) error {
	var found *zip.File
	for _, file := range files {
		switch {
		case file.Name == exportJournal && found != nil:
			return fault.New(fault.Damaged, "%s contains %s twice", name, exportJournal).WithHint("use a file that `coldbatch export` wrote")
		case file.Name == exportJournal:
			found = file
		case path.Dir(file.Name) == exportPhotos && path.Ext(file.Name) == ".jpg":
			f.photos = append(f.photos, file)
		}
	}
	if found == nil {
		return fault.New(fault.Damaged, "%s does not contain %s", name, exportJournal).WithHint("use a file that `coldbatch export` wrote")
	}
	text, err := readZipped(found, maxExportBytes)
	if fault.Is(err, fault.Input) {
		return fault.AsFault(err).WithHint("if you trust whoever made it, unzip it and import %s from it", exportJournal)
	}
	if err == nil {
		f.facts, f.unread, err = journal.ReadSavedFile(name, text)
	}
	return err
}

// putPhotos keeps the photos of the file in the folder data. One that is damaged does not
// hold up the others: problems has a sentence for each.
func (f *importedFile) putPhotos(data string) (n int, problems []string, err error) {
	for _, file := range f.photos {
		b, err := readZipped(file, journal.MaxPhotoBytes)
		if err == nil {
			err = photosIn(data).Put(strings.TrimSuffix(path.Base(file.Name), ".jpg"), b)
		}
		switch {
		case err == nil:
			n++
		case fault.Is(err, fault.Input) || fault.Is(err, fault.Damaged):
			problems = append(problems, fmt.Sprintf("%s was left out: %v", journal.PlainText(file.Name), fault.AsFault(err).Sentence))
		default:
			return n, problems, err
		}
	}
	return n, problems, nil
}

// readZipped reads one file of a zip, of at most limit bytes.
func readZipped(file *zip.File, limit uint64) ([]byte, error) {
	r, err := file.Open()
	if err != nil {
		return nil, fault.New(fault.Damaged, "%s in the zip cannot be read: %v", journal.PlainText(file.Name), err)
	}
	defer r.Close()
	if file.UncompressedSize64 > limit { // archive/zip gives no more than it says here
		return nil, fault.New(fault.Input, "%s in the zip has more than %d bytes", journal.PlainText(file.Name), limit)
	}
	b, err := io.ReadAll(r)
	if err != nil {
		return nil, fault.New(fault.Damaged, "%s in the zip cannot be read: %v", journal.PlainText(file.Name), err)
	}
	return b, nil
}

// readSavedFile returns the facts of a file that the app saved, and how many of them
// cannot be read. The file has the form {"coldbatch": "facts", "version": 1, "facts": […]}.
func readSavedFile(path string) (facts []journal.Fact, unread int, err error) {
	text, err := os.ReadFile(path)
	if err != nil {
		return nil, 0, fault.New(fault.NotFound, "the file %s cannot be read: %v", path, err)
	}
	return journal.ReadSavedFile(path, text)
}
