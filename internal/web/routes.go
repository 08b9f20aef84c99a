package web

import (
	"context"
	"io"
	"net/http"

	"github.com/gorilla/mux"

	"coldbatch/internal/api"
	"coldbatch/internal/batchview"
	"coldbatch/internal/calc"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
)

// Route is an address of the app and the action that a request to it performs. An asker who may
// not do that is refused before the handler runs.
type Route struct {
	Method, Path string
	Act          rights.Action
}

// Routes lists every address of the app except its own files, which anyone may see.
func Routes() []Route {
	var list []Route
	for _, row := range new(server).routes() {
		list = append(list, row.Route)
	}
	return list
}

type route struct {
	Route
	endpoint      endpoint
	allowsRevoked bool // a revoked phone is answered too
}

// endpoint answers a request: it returns the value to send as JSON, or an error. One
// that writes the answer itself returns nil, nil.
type endpoint func(w http.ResponseWriter, r *http.Request, who rights.Asker) (any, error)

func (s *server) routes() []route {
	return []route{
		{Route{"GET", "/healthz", rights.SeeApp}, serveHealth, false},
		{Route{"GET", "/joining/{file}", rights.SeeApp}, s.serveJoiningFile, false},
		{Route{"GET", "/api/v1/about", rights.SeeApp}, s.hubAbout, false},
		{Route{"POST", "/api/v1/pair", rights.SeeApp}, s.pair, false},
		{Route{"POST", "/api/v1/join", rights.SeeBatch}, endpointWithBody(s, Hub.RegisterPhone), false},
		{Route{"POST", "/api/v1/exchange", rights.SeeBatch}, s.exchange, true},
		{Route{"GET", "/api/v1/events", rights.SeeBatch}, s.streamEvents, false},
		{Route{"GET", "/api/v1/bag/{code}", rights.SeeBag}, s.labels.limit(s.viewBag), false},
		{Route{"GET", "/api/v1/calendar", rights.SeeBatch}, s.serveCalendarFile, false},
		{Route{"GET", "/api/v1/calendar/{calendar}", rights.SeeCalendar}, s.serveCalendarFeed, false},
		{Route{"GET", "/api/v1/photo/{sha256}", rights.SeeBatch}, s.servePhoto, false},
		{Route{"HEAD", "/api/v1/photo/{sha256}", rights.SeeBatch}, s.servePhoto, false},
		{Route{"PUT", "/api/v1/photo/{sha256}", rights.AddToBatch}, s.storePhoto, false},
		{Route{"GET", "/api/v1/sheet", rights.SeeBatch}, s.serveSheet, false},
		{Route{"POST", "/api/v1/reading", rights.SeeApp}, s.recordReading, false},

		{Route{"POST", "/api/v1/invite", rights.ManageHouse}, endpointFor(s, Hub.Invite), false},
		{Route{"GET", "/api/v1/phones", rights.ManageHouse}, endpointFor(s, Hub.Phones), false},
		{Route{"GET", "/api/v1/held/{device}", rights.ManageHouse}, endpointWithDevice(s, Hub.Quarantined), false},
		{Route{"POST", "/api/v1/held/{device}/accept", rights.ManageHouse}, s.acceptQuarantined, false},
		{Route{"POST", "/api/v1/held/{device}/recall", rights.ManageHouse}, endpointWithDevice(s, Hub.Requeue), false},
		{Route{"DELETE", "/api/v1/held/{device}", rights.ManageHouse}, endpointWithDevice(s, Hub.Reject), false},
		{Route{"DELETE", "/api/v1/example", rights.ManageHouse}, s.closeExample, false},

		{Route{"GET", "/api/v1/calc", rights.SeeApp}, listCalculators, false},
		{Route{"GET", "/api/v1/calc/{name}", rights.SeeApp}, describeCalculator, false},
		{Route{"POST", "/api/v1/calc/{name}", rights.SeeApp}, s.runCalculator, false},
	}
}

// authorize runs the endpoint of a route for an asker who may do its act, and refuses
// others.
func (s *server) authorize(row route) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		who, err := s.identify(r)
		if err != nil {
			s.fail(w, r, stranger, err)
			return
		}
		if who.Role != rights.Stranger {
			keepConnOpen(r)
		}
		switch {
		case row.Act == rights.SeeBag && who.Role == rights.Stranger:
			who.Role = rights.LabelHolder // the address itself contains the label's code
		case row.Act == rights.SeeCalendar:
			who = rights.Asker{Role: rights.CalendarHolder} // the token in the address decides, whoever asks
		}
		if !rights.IsAllowed(who.Role, row.Act) && !(row.allowsRevoked && who.Revoked) {
			s.fail(w, r, who, accessDenied(who))
			return
		}
		v, err := row.endpoint(w, r, who)
		s.respond(w, r, who, v, err)
	}
}

// respond sends what an endpoint returned.
func (s *server) respond(w http.ResponseWriter, r *http.Request, who rights.Asker, v any, err error) {
	switch {
	case err != nil:
		s.fail(w, r, who, err)
	case v != nil:
		s.writeJSON(w, r, http.StatusOK, v)
	}
}

// endpointFor makes an endpoint of a use case that needs only the asker.
func endpointFor[A any](s *server, use func(Hub, context.Context, rights.Asker) (A, error)) endpoint {
	return func(_ http.ResponseWriter, r *http.Request, who rights.Asker) (any, error) {
		return use(s.ActiveHub(), r.Context(), who)
	}
}

// endpointWithDevice makes an endpoint of a use case on the phone that the path names.
func endpointWithDevice[A any](s *server, use func(Hub, context.Context, rights.Asker, journal.ID) (A, error)) endpoint {
	return func(_ http.ResponseWriter, r *http.Request, who rights.Asker) (any, error) {
		device := journal.ID(mux.Vars(r)["device"])
		if err := device.Check("the phone"); err != nil {
			return nil, err
		}
		return use(s.ActiveHub(), r.Context(), who, device)
	}
}

// acceptQuarantined accepts what a phone sent that waits: as much as the owner was shown.
func (s *server) acceptQuarantined(w http.ResponseWriter, r *http.Request, _ rights.Asker) (any, error) {
	text, who, err := s.readBodyAndAsker(w, r, maxBody)
	if err != nil {
		return nil, err
	}
	var q api.AcceptRequest
	if err := decodeJSON(text, &q); err != nil {
		return nil, err
	}
	device := journal.ID(mux.Vars(r)["device"])
	if err := device.Check("the phone"); err != nil {
		return nil, err
	}
	return s.ActiveHub().Accept(r.Context(), who, device, q.ShownCount)
}

// endpointWithBody makes an endpoint of a use case that takes the request's body as JSON.
func endpointWithBody[Q, A any](s *server, use func(Hub, context.Context, rights.Asker, Q) (A, error)) endpoint {
	return func(w http.ResponseWriter, r *http.Request, _ rights.Asker) (any, error) {
		text, who, err := s.readBodyAndAsker(w, r, maxBody)
		if err != nil {
			return nil, err
		}
		var q Q
		if err := decodeJSON(text, &q); err != nil {
			return nil, err
		}
		return use(s.ActiveHub(), r.Context(), who, q)
	}
}

func serveHealth(w http.ResponseWriter, _ *http.Request, _ rights.Asker) (any, error) {
	// The joining page, on plain http, requests this from the https origin to see
	// whether the phone reaches it.
	w.Header().Set("Cross-Origin-Resource-Policy", "cross-origin")
	w.Header().Set("Cache-Control", "no-store")
	w.Header().Set("Content-Type", "text/plain; charset=utf-8")
	io.WriteString(w, "ok\n")
	return nil, nil
}

func (s *server) viewBag(_ http.ResponseWriter, r *http.Request, who rights.Asker) (any, error) {
	return buildInTurn(r.Context(), s.builds, who, func() (*batchview.BagView, error) {
		return s.ActiveHub().ViewBag(r.Context(), who, mux.Vars(r)["code"])
	})
}

func (s *server) closeExample(http.ResponseWriter, *http.Request, rights.Asker) (any, error) {
	return struct{}{}, s.CloseExample()
}

func listCalculators(http.ResponseWriter, *http.Request, rights.Asker) (any, error) {
	return calc.All(), nil
}

func describeCalculator(_ http.ResponseWriter, r *http.Request, _ rights.Asker) (any, error) {
	return calc.Find(mux.Vars(r)["name"])
}
