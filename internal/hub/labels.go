package hub

import (
	"cmp"
	"fmt"
	"strings"

	"coldbatch/internal/batch"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
	"coldbatch/internal/sheet"
	"coldbatch/internal/unit"
)

// LabelsRequest is which labels to print, and on what. The batch goes by its id, its
// name, or how its name begins.
type LabelsRequest struct {
	Batch string `json:"batch"`
	batch.LabelOrder
	Style unit.Style `json:"style"`
}

// Labels are pages to print of a batch, and what their labels went without.
type Labels struct {
	Batch journal.ID `json:"batch"`
	Name  string     `json:"name"`
	DPI   int        `json:"dpi"`
	batch.LabelLayout
}

// LayOutLabels lays out labels of a batch. It records nothing: a person may still think
// better of it.
func (h *Hub) LayOutLabels(who rights.Asker, q LabelsRequest) (*Labels, error) {
	if err := checkAct(who, rights.SeeBatch); err != nil {
		return nil, err
	}
	out := &Labels{}
	var s batch.State
	var e batch.ViewEnv
	err := h.journal.View(func(tx Tx) (err error) {
		if s, err = findBatch(tx, who, q.Batch); err != nil {
			return err
		}
		tz := ""
		if n := len(s.Bags); n > 0 {
			tz = s.Bags[n-1].TZ
		}
		e, err = h.batchEnv(tx, s, tz)
		return err
	})
	if err != nil {
		return nil, err
	}
	e.Style = q.Style
	out.Batch, out.Name = s.ID, s.Name
	out.LabelLayout, err = q.LayOut(s, e)
	out.DPI = cmp.Or(q.DPI, out.Paper.DPI)
	return out, err
}

// findBatch gives the one batch that name means, of those that who sees.
func findBatch(tx Tx, who rights.Asker, name string) (batch.State, error) {
	var found, same []batch.State
	name = strings.TrimSpace(name)
	for _, scope := range tx.Scopes() {
		id := scope.Batch()
		if id == "" || journal.ID(name).Valid() && string(id) != name {
			continue
		}
		if !who.HasBatch(id) {
			continue
		}
		s, err := readState(tx, id)
		if err != nil {
			return s, err
		}
		if string(id) == name {
			return s, nil
		}
		if strings.EqualFold(s.Name, name) {
			same = append(same, s)
		}
		if name != "" && len(s.Name) >= len(name) && strings.EqualFold(s.Name[:len(name)], name) {
			found = append(found, s)
		}
	}
	if len(same) > 0 {
		found = same
	}
	switch {
	case len(found) == 1:
		return found[0], nil
	case len(found) > 1:
		names := make([]string, len(found))
		for i, s := range found {
			names[i] = fmt.Sprintf("%q", s.Name)
			if len(same) > 1 {
				names[i] = "the batch " + string(s.ID)
			}
		}
		return batch.State{}, fault.New(fault.Conflict, "%q may mean %s", name, strings.Join(names, " or ")).WithHint("write more of the name, or the batch's id")
	case who.Role == rights.Helper:
		return batch.State{}, fault.New(fault.Refused, "this phone is not in that batch")
	}
	return batch.State{}, fault.New(fault.NotFound, "there is no batch %q here", name).WithHint("its name or how that begins, as the app shows it")
}

// batchEnv is what a batch is looked at with here: the hub's clock and name, a zone, and
// the places where its bags stand or stood. A zone that is none is the hub's.
func (h *Hub) batchEnv(tx Tx, s batch.State, tz string) (batch.ViewEnv, error) {
	now := h.system.Now()
	e := batch.ViewEnv{Now: now, Host: fmt.Sprintf("%s:%d", h.Host, h.HTTPS), Places: map[journal.ID]batch.PlaceState{}}
	for _, b := range s.Bags {
		for _, stay := range b.Stays {
			if _, known := e.Places[stay.Place]; known {
				continue
			}
			facts, err := tx.Scope(journal.PlaceScope(stay.Place))
			if err != nil {
				return e, err
			}
			e.Places[stay.Place] = batch.BuildPlace(facts)
		}
	}
	var err error
	if e.Zone, err = h.ZoneTable(tz, now); err != nil {
		e.Zone, err = h.ZoneTable("", now)
	}
	return e, err
}

// RecordLabelsPrinted records that the labels of bags were printed. Labels of anything
// else leave nothing to record.
func (h *Hub) RecordLabelsPrinted(who rights.Asker, l Labels) error {
	if err := checkAct(who, rights.ManageHouse); err != nil {
		return err
	}
	if err := h.checkNotExample(); err != nil {
		return err
	}
	w, err := h.writeFacts(h.system.Now(), func(w *factWriter) error {
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

// BlanksRequest is how many numbered blanks of a batch to make, or where Piece is
// said, tags of the piece with that id or name.
type BlanksRequest struct {
	Batch string `json:"batch"`
	Count int    `json:"count"`
	Piece string `json:"piece"`
	Sheet string `json:"sheet"`
}

// ReserveBlanks takes numbers for blanks, or for tags of a piece, and gives the facts of
// their printing: no two labels ever bear one number, so they are taken before
// anything is printed, and stay taken.
func (h *Hub) ReserveBlanks(who rights.Asker, q BlanksRequest) (prints []journal.ID, err error) {
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
	w, err := h.writeFacts(h.system.Now(), func(w *factWriter) error {
		s, err := findBatch(w.tx, who, q.Batch)
		if err != nil {
			return err
		}
		kind, subject := journal.KindBlanksPrinted, journal.ID("")
		if q.Piece != "" {
			kind = journal.KindPieceTagged
			if subject, err = findPiece(s, q.Piece); err != nil {
				return err
			}
		}
		scope := journal.BatchScope(s.ID)
		if short := q.Count - s.Numbers.FreeCount(h.ID); short > 0 {
			block, ok := s.Numbers.NextBlock(h.ID, short)
			if !ok {
				return fault.New(fault.Conflict, "the numbers of this batch have run out").WithHint("a batch has bags up to %d", journal.MaxNumber)
			}
			s.Numbers.Leases = append(s.Numbers.Leases, block)
			if err := w.writeFact(scope, s.ID, journal.KindNumbersLeased, block); err != nil {
				return err
			}
		}
		runs, ok := s.Numbers.NextRanges(h.ID, "", q.Count)
		if !ok {
			return fault.New(fault.Conflict, "this batch has only %d numbers left", s.Numbers.FreeCount(h.ID)).WithHint("a batch has bags up to %d", journal.MaxNumber)
		}
		for _, r := range runs {
			r.Sheet = q.Sheet
			on := subject
			if on == "" {
				on = w.author.NewID()
			}
			if err := w.writeFact(scope, on, kind, r); err != nil {
				return err
			}
			prints = append(prints, w.appended[len(w.appended)-1].ID)
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	h.notifySubscribers(w.lastSeq)
	return prints, nil
}

// findPiece finds a piece of s by its id, or by what it is called.
func findPiece(s batch.State, name string) (journal.ID, error) {
	for _, p := range s.Pieces {
		if string(p.ID) == name || strings.EqualFold(p.Name, name) || strings.EqualFold(p.Kind, name) {
			return p.ID, nil
		}
	}
	return "", fault.New(fault.NotFound, "this batch has no piece %q", name).WithHint("its name or its kind, as the app shows it")
}
