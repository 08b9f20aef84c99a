package hub

import (
	"cmp"
	"context"
	"fmt"
	"strings"

	"coldbatch/internal/batch"
	"coldbatch/internal/batchview"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
	"coldbatch/internal/sheet"
	"coldbatch/internal/shelf"
	"coldbatch/internal/unit"
	"coldbatch/internal/zone"
)

// LabelsRequest says which labels to print, and on which paper. Batch is the batch's
// id, its name, or the beginning of its name.
type LabelsRequest struct {
	Batch string `json:"batch"`
	batchview.LabelLayoutRequest
	Style unit.Style `json:"style"`
}

// Labels are the laid-out pages of labels of a batch, and what the labels omit.
type Labels struct {
	Batch journal.ID `json:"batch"`
	Name  string     `json:"name"`
	DPI   int        `json:"dpi"`
	batchview.LabelLayout
}

// LayOutLabels lays out labels of a batch. It records nothing, because nothing is
// printed yet.
func (h *Hub) LayOutLabels(ctx context.Context, who rights.Asker, q LabelsRequest) (*Labels, error) {
	s, e, err := h.readBatch(ctx, who, q.Batch)
	if err != nil {
		return nil, err
	}
	labels := &Labels{}
	e.Style = q.Style
	labels.Batch, labels.Name = s.ID, s.Name
	labels.LabelLayout, err = q.LayOut(s, e)
	labels.DPI = cmp.Or(q.DPI, labels.Paper.DPI)
	return labels, err
}

// findBatch returns the one batch that name identifies, among the batches that who may see.
func findBatch(tx Tx, who rights.Asker, name string, now zone.Instant) (batch.State, error) {
	var matches, exact []batch.State
	name = strings.TrimSpace(name)
	for _, scope := range tx.Scopes() {
		id := scope.Batch()
		if id == "" || journal.ID(name).Valid() && string(id) != name {
			continue
		}
		if !who.HasBatch(id) {
			continue
		}
		s, err := readState(tx, id, now)
		if err != nil {
			return s, err
		}
		if string(id) == name {
			return s, nil
		}
		if strings.EqualFold(s.Name, name) {
			exact = append(exact, s)
		}
		if name != "" && len(s.Name) >= len(name) && strings.EqualFold(s.Name[:len(name)], name) {
			matches = append(matches, s)
		}
	}
	if len(exact) > 0 {
		matches = exact
	}
	switch {
	case len(matches) == 1:
		return matches[0], nil
	case len(matches) > 1:
		names := make([]string, len(matches))
		for i, s := range matches {
			names[i] = fmt.Sprintf("%q", s.Name)
			if len(exact) > 1 {
				names[i] = "the batch " + string(s.ID)
			}
		}
		return batch.State{}, fault.New(fault.Conflict, "%q could be %s", name, strings.Join(names, " or ")).WithHint("type more of the name, or the batch's id")
	case who.Role == rights.Helper:
		return batch.State{}, fault.New(fault.Refused, "this phone does not help with that batch")
	}
	return batch.State{}, fault.New(fault.NotFound, "there is no batch %q here", name).WithHint("type its name, or the beginning of it, as the app shows it")
}

// batchEnv returns what a view of a batch depends on: the hub's clock and name, a zone, the kit,
// and the places where its bags are or were. An unknown zone is replaced by the hub's.
func (h *Hub) batchEnv(tx Tx, who rights.Asker, s batch.State, tz string) (batchview.ViewEnv, error) {
	e, err := h.houseEnv()
	if err != nil {
		return e, err
	}
	if e.Kit, err = readKit(tx, who, h.latestTime()); err != nil {
		return e, err
	}
	for _, b := range s.Bags {
		for _, stay := range b.Stays {
			if _, known := e.Places[stay.Place]; known {
				continue
			}
			facts, err := tx.Scope(journal.PlaceScope(stay.Place))
			if err != nil {
				return e, err
			}
			e.Places[stay.Place] = batch.BuildPlaceAsOf(facts, h.latestTime())
		}
	}
	if table, err := h.ZoneTable(tz, e.Now); err == nil {
		e.Zone = table
	}
	return e, nil
}

// readKit returns what of the shelf a view depends on. A helper's phone has no shelf, so its calendar
// from here goes without too and stays equal to the one that the phone makes.
func readKit(tx Tx, who rights.Asker, now zone.Instant) (shelf.Kit, error) {
	s, err := readShelf(tx, who, now)
	return s.Kit, err
}

// readShelf returns the shelf, its zero for a helper.
func readShelf(tx Tx, who rights.Asker, now zone.Instant) (shelf.State, error) {
	if who.Role == rights.Helper {
		return shelf.State{}, nil
	}
	facts, err := tx.Scope(journal.ShelfScope)
	return shelf.Build(orderAheadFirst(facts, now)), err
}

// houseEnv returns what any view depends on: the hub's clock, name and zone. It holds no
// places yet.
func (h *Hub) houseEnv() (e batchview.ViewEnv, err error) {
	e = batchview.ViewEnv{Now: h.system.Now(), Host: fmt.Sprintf("%s:%d", h.Host, h.HTTPSPort), Places: map[journal.ID]batch.PlaceState{}}
	e.Zone, err = h.ZoneTable("", e.Now)
	return e, err
}

// RecordLabelsPrinted records that the labels of bags were printed. For other labels
// there is nothing to record.
func (h *Hub) RecordLabelsPrinted(ctx context.Context, who rights.Asker, l Labels) error {
	if err := checkAct(who, rights.ManageHouse); err != nil {
		return err
	}
	if err := h.checkNotExample(); err != nil {
		return err
	}
	w, err := h.writeFacts(ctx, h.system.Now(), func(w *factWriter) error {
		for _, x := range l.Labels {
			if x.Bag == "" {
				continue
			}
			if err := w.writeFact(journal.BatchScope(l.Batch), x.Bag, journal.KindBagPrinted, journal.BagPrinted{Code: x.Code, Ready: x.Ready, Sheet: l.Paper.Name}); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return err
	}
	h.notifySubscribers(w.lastSeq)
	return nil
}

// BlanksRequest says how many numbered blanks of a batch to make, or with Piece, how
// many tags of the piece with that id or name.
type BlanksRequest struct {
	Batch string `json:"batch"`
	Count int    `json:"count"`
	Piece string `json:"piece"`
	Sheet string `json:"sheet"`
}

// ReserveBlanks reserves numbers for blanks, or for tags of a piece, and returns the
// facts of their printing. Numbers are reserved before anything is printed and stay
// reserved, so that no two labels ever have the same number.
func (h *Hub) ReserveBlanks(ctx context.Context, who rights.Asker, q BlanksRequest) (prints []journal.ID, err error) {
	if err := checkAct(who, rights.ManageHouse); err != nil {
		return nil, err
	}
	if err := h.checkNotExample(); err != nil {
		return nil, err
	}
	if _, err := sheet.FindPaper(q.Sheet); err != nil {
		return nil, err
	}
	if q.Count < 1 || q.Count > batch.MaxBlanks {
		return nil, fault.New(fault.Input, "%d labels cannot be printed at a time", q.Count).WithHint("from 1 to %d", batch.MaxBlanks)
	}
	w, err := h.writeFacts(ctx, h.system.Now(), func(w *factWriter) error {
		s, err := findBatch(w.tx, who, q.Batch, w.latestTime)
		if err != nil {
			return err
		}
		kind, piece := journal.KindBlanksPrinted, journal.ID("")
		if q.Piece != "" {
			kind = journal.KindPieceTagged
			if piece, err = findPiece(s, q.Piece); err != nil {
				return err
			}
		}
		scope := journal.BatchScope(s.ID)
		if missing := q.Count - s.Numbers.FreeCount(h.ID); missing > 0 {
			block, ok := s.Numbers.NextFreeBlock(h.ID, missing)
			if !ok {
				return fault.New(fault.Conflict, "the numbers of this batch have run out").WithHint("a batch has bags up to number %d", journal.MaxNumber)
			}
			s.Numbers.Leases = append(s.Numbers.Leases, block)
			if err := w.writeFact(scope, s.ID, journal.KindNumbersLeased, block); err != nil {
				return err
			}
		}
		ranges, ok := s.Numbers.NextRanges(h.ID, "", q.Count)
		if !ok {
			return fault.New(fault.Conflict, "this batch has only %d numbers left", s.Numbers.FreeCount(h.ID)).WithHint("a batch has bags up to number %d", journal.MaxNumber)
		}
		for _, r := range ranges {
			r.Sheet = q.Sheet
			subject := piece
			if subject == "" {
				subject = w.author.NewID()
			}
			if err := w.writeFact(scope, subject, kind, r); err != nil {
				return err
			}
			prints = append(prints, w.appendedFacts[len(w.appendedFacts)-1].ID)
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	h.notifySubscribers(w.lastSeq)
	return prints, nil
}

// findPiece finds a piece of s by its id, its name or its kind.
func findPiece(s batch.State, name string) (journal.ID, error) {
	for _, p := range s.Pieces {
		if string(p.ID) == name || strings.EqualFold(p.Name, name) || strings.EqualFold(p.Kind, name) {
			return p.ID, nil
		}
	}
	return "", fault.New(fault.NotFound, "this batch has no piece %q", name).WithHint("type its name or its kind, as the app shows it")
}
