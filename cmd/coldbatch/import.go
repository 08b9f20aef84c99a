package main

import (
	"context"
	"fmt"
	"os"

	"coldbatch/internal/exchange"
	"coldbatch/internal/fault"
	"coldbatch/internal/hub"
	"coldbatch/internal/journal"
)

// importResult says what an import added.
type importResult struct {
	Added   int                `json:"added"`
	Refused []exchange.Refusal `json:"refused"`
}

func importFacts(ctx context.Context, h *hub.Hub, facts []journal.Fact) (*importResult, error) {
	added, refused, err := h.Import(ctx, facts)
	return &importResult{added, refused}, err
}

// importFile adds a journal that the app saved as a file to the program's.
func (c command) importFile(args []string) error {
	f := c.flags("import", func(*flags) {})
	if err := f.parse(args, 1); err != nil {
		return err
	}
	facts, unread, photos, err := readExport(f.Arg(0), *f.data)
	if err != nil {
		return err
	}
	result := &importResult{}
	running, err := callProgram(c.ctx, *f.data, "take", facts, result)
	if !running {
		err = c.withJournal(*f.data, func(h *hub.Hub) (err error) {
			result, err = importFacts(c.ctx, h, facts)
			return err
		})
	}
	if err != nil {
		return err
	}
	fmt.Fprintf(c.out, "%s of %d were new\n", plural(result.Added, "entry"), len(facts)+unread)
	if photos > 0 {
		fmt.Fprintf(c.out, "%s kept\n", plural(photos, "photo"))
	}
	for _, r := range result.Refused {
		fmt.Fprintf(c.err, "%s was refused: %s\n", r.ID, r.Sentence)
	}
	if unread > 0 {
		fmt.Fprintf(c.err, "%s could not be read\n", plural(unread, "entry"))
	}
	return nil
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
