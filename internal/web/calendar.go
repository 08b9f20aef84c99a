package web

import (
	"net/http"
	"strings"

	"github.com/gorilla/mux"

	"coldbatch/internal/batchview"
	"coldbatch/internal/calendar"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
	"coldbatch/internal/unit"
)

// serveCalendarFile sends the calendar of a batch, a place or a bag, which the query names.
func (s *server) serveCalendarFile(w http.ResponseWriter, r *http.Request, who rights.Asker) (any, error) {
	var o batchview.CalendarOrder
	for name, into := range map[string]*journal.ID{"batch": &o.Batch, "place": &o.Place, "bag": &o.Bag} {
		if *into = journal.ID(r.URL.Query().Get(name)); *into == "" {
			continue
		}
		if err := into.Check("the " + name); err != nil {
			return nil, err
		}
	}
	if o.Bag != "" && o.Batch == "" {
		return nil, fault.New(fault.Missing, "the batch of the bag is missing").WithHint("?batch=ID&bag=ID")
	}
	f, err := buildInTurn(r.Context(), s.builds, who, func() (*batchview.CalendarFile, error) {
		return s.ActiveHub().Calendar(r.Context(), who, o, calendarStyle(r))
	})
	return writeCalendar(w, f, err)
}

// serveCalendarFeed sends the calendar of everything to a program that subscribed. It sends
// the token in the address, because such programs can send nothing else. They may use plain
// http, because many computers do not trust the hub's certificate. Wrong tokens are not
// counted: nobody guesses 80 bits.
func (s *server) serveCalendarFeed(w http.ResponseWriter, r *http.Request, who rights.Asker) (any, error) {
	token := strings.TrimSuffix(mux.Vars(r)["calendar"], ".ics")
	f, err := buildInTurn(r.Context(), s.builds, who, func() (*batchview.CalendarFile, error) {
		return s.ActiveHub().CalendarFeed(r.Context(), token, calendarStyle(r))
	})
	return writeCalendar(w, f, err)
}

// calendarStyle returns the style in which a calendar writes times.
func calendarStyle(r *http.Request) unit.Style {
	return unit.Style{Clock12: r.URL.Query().Get("clock12") != ""}
}

func writeCalendar(w http.ResponseWriter, f *batchview.CalendarFile, err error) (any, error) {
	if err != nil {
		return nil, err
	}
	writeFile(w, File{Name: f.FileName, Type: calendar.MediaType, Body: []byte(f.Text)})
	return nil, nil
}
