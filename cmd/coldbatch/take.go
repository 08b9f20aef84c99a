package main

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"

	"coldbatch/internal/exchange"
	"coldbatch/internal/fault"
	"coldbatch/internal/hub"
	"coldbatch/internal/journal"
	"coldbatch/internal/store"
)

// taken is what came of a file.
type takenIn struct {
	Added   int                `json:"added"`
	Refused []exchange.Refusal `json:"refused"`
}

func takeIn(h *hub.Hub, facts []journal.Fact) (*takenIn, error) {
	added, refused, err := h.Import(facts)
	return &takenIn{added, refused}, err
}

// take reads a journal that the app saved to a file into the program's.
func (c command) take(args []string) error {
	f := c.flags("take", func(*flags) {})
	if err := f.parse(args, 1); err != nil {
		return err
	}
	facts, unread, err := readSaved(f.Arg(0))
	if err != nil {
		return err
	}
	var t takenIn
	running, err := ask(*f.data, "take", facts, &t)
	if !running {
		t, err = c.takeAlone(*f.data, facts)
	}
	if err != nil {
		return err
	}
	fmt.Fprintf(c.out, "%s of %d were new\n", count(t.Added, "entry"), len(facts)+unread)
	for _, r := range t.Refused {
		fmt.Fprintf(c.err, "%s was left out: %s\n", r.ID, r.Sentence)
	}
	if unread > 0 {
		fmt.Fprintf(c.err, "%s did not read and were left out\n", count(unread, "entry"))
	}
	return nil
}

// readSaved gives the facts of a file that the app saved, and how many of them do
// not read. The file has the form {"coldbatch": "facts", "version": 1, "facts": […]}.
func readSaved(path string) (facts []journal.Fact, unread int, err error) {
	text, err := os.ReadFile(path)
	if err != nil {
		return nil, 0, fault.New(fault.NotFound, "the file %s cannot be read: %v", path, err)
	}
	var saved struct {
		Coldbatch string            `json:"coldbatch"`
		Version   int               `json:"version"`
		Facts     []json.RawMessage `json:"facts"`
	}
	if json.Unmarshal(text, &saved) != nil || saved.Coldbatch != "facts" {
		return nil, 0, fault.New(fault.Damaged, "%s is not a journal that the app saved", path).
			WithHint("a file named like coldbatch-2026-05-02.json, saved under This phone")
	}
	if saved.Version != 1 {
		return nil, 0, fault.New(fault.Newer, "%s was saved by a newer version of the app", path).WithHint("update this program first")
	}
	for _, raw := range saved.Facts {
		var f journal.Fact
		if json.Unmarshal(raw, &f) != nil {
			unread++
			continue
		}
		facts = append(facts, f)
	}
	return facts, unread, nil
}

// takeAlone takes facts in while no program runs.
func (c command) takeAlone(data string, facts []journal.Fact) (takenIn, error) {
	s, err := store.Open(filepath.Join(data, journalFile), store.Options{OnDamage: c.warnDamage})
	if err != nil {
		return takenIn{}, err
	}
	defer s.Close()
	h, err := hub.Open(bolt{s}, hub.Identity{}, world())
	if err != nil {
		return takenIn{}, err
	}
	defer h.Close()
	t, err := takeIn(h, facts)
	if err != nil {
		return takenIn{}, err
	}
	return *t, nil
}
