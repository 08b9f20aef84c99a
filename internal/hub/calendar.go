package hub

import (
	"context"

	"coldbatch/internal/batch"
	"coldbatch/internal/batchview"
	"coldbatch/internal/fault"
	"coldbatch/internal/house"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
	"coldbatch/internal/unit"
)

// Calendar makes the calendar file that o orders, of batches that who may see. Times are
// written in the zone of the house.
func (h *Hub) Calendar(ctx context.Context, who rights.Asker, o batchview.CalendarOrder, style unit.Style) (*batchview.CalendarFile, error) {
	if err := checkAct(who, rights.SeeBatch); err != nil {
		return nil, err
	}
	if o.Batch != "" && !who.HasBatch(o.Batch) {
		return nil, fault.New(fault.Refused, "this phone does not help with that batch")
	}
	return h.makeCalendar(ctx, who, o, style)
}

// CalendarFeed makes the calendar of everything for whoever holds the token of a calendar
// that the owner opened.
func (h *Hub) CalendarFeed(ctx context.Context, token string, style unit.Style) (*batchview.CalendarFile, error) {
	unknown := fault.New(fault.Refused, "the address of this calendar is unknown").
		WithHint("it may have been removed: open a calendar in the app again, under This phone")
	code, err := journal.ParseCode(token)
	if err != nil {
		return nil, unknown
	}
	calendars, err := h.calendarsByHash(ctx)
	if err != nil {
		return nil, err
	}
	if !calendars[hashOf(code)] {
		return nil, unknown
	}
	if err := h.checkPutBack(); err != nil {
		return nil, err
	}
	return h.makeCalendar(ctx, rights.Asker{Role: rights.Owner}, batchview.CalendarOrder{}, style)
}

// makeCalendar makes a calendar of the open batches that who may see.
func (h *Hub) makeCalendar(ctx context.Context, who rights.Asker, o batchview.CalendarOrder, style unit.Style) (*batchview.CalendarFile, error) {
	states, e, err := h.openBatches(ctx, who)
	if err != nil {
		return nil, err
	}
	e.Style = style
	f, err := batchview.MakeCalendar(states, o, e)
	if err != nil {
		return nil, err
	}
	return &f, nil
}

// openBatches returns the batches that are not finished and that who may see, and what
// a view of them depends on.
func (h *Hub) openBatches(ctx context.Context, who rights.Asker) (states []batch.State, e batchview.ViewEnv, err error) {
	err = h.viewJournal(ctx, func(tx Tx) error {
		e, err = h.houseEnv()
		if err != nil {
			return err
		}
		if e.Kit, err = readKit(tx, who, h.latestTime()); err != nil {
			return err
		}
		visible, err := who.ComputeVisibleScopes(func(id journal.ID) ([]journal.ID, error) {
			b, err := summarizeBatch(tx, id, h.latestTime())
			return b.places, err
		})
		if err != nil {
			return err
		}
		for _, scope := range tx.Scopes() {
			if !visible.HasScope(scope) {
				continue
			}
			if id := scope.Batch(); id != "" {
				s, err := readState(tx, id, h.latestTime())
				if err != nil {
					return err
				}
				if s.IsOpen() {
					states = append(states, s)
				}
			}
			if id := scope.Place(); id != "" {
				facts, err := tx.Scope(scope)
				if err != nil {
					return err
				}
				e.Places[id] = batch.BuildPlaceAsOf(facts, h.latestTime())
			}
		}
		return nil
	})
	return states, e, err
}

// calendarsByHash returns the calendars that the owner opened, by the hash of their token.
func (h *Hub) calendarsByHash(ctx context.Context) (map[string]bool, error) {
	return loadDerived(ctx, h,
		func(c *derivedCache) (map[string]bool, bool) { return c.calendars, c.calendars != nil },
		func(tx Tx) (map[string]bool, error) {
			facts, err := tx.Scope(journal.HouseScope)
			all := map[string]bool{}
			for _, c := range house.ListCalendars(orderAheadFirst(facts, h.latestTime())) {
				all[c.Hash] = true
			}
			return all, err
		},
		func(c *derivedCache, v map[string]bool) { c.calendars = v })
}
