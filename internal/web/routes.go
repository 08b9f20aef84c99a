package web

import (
	"io"
	"net/http"

	"github.com/gorilla/mux"

	"coldbatch/internal/calc"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
)

// Route is an address of the app and what asking it is. Whoever may not do that
// is refused before anything else happens.
type Route struct {
	Method, Path string
	Act          rights.Action
}

// Routes lists every address of the app but its own files, which anyone may see.
func Routes() []Route {
	var list []Route
	for _, row := range new(server).routes() {
		list = append(list, row.Route)
	}
	return list
}

type route struct {
	Route
	answer answer
	out    bool // a phone that is let in no more is answered too
}

// answer works out what a request is told. It may set headers. Where it wrote the
// answer itself it gives nothing and no error.
type answer func(w http.ResponseWriter, r *http.Request, who rights.Asker) (any, error)

func (s *server) routes() []route {
	return []route{
		{Route{"GET", "/healthz", rights.SeeApp}, health, false},
		{Route{"GET", "/joining/{file}", rights.SeeApp}, s.joiningFile, false},
		{Route{"GET", "/api/v1/about", rights.SeeApp}, s.about, false},
		{Route{"POST", "/api/v1/pair", rights.SeeApp}, s.codes.bounded(s.pair, anyone), false},
		{Route{"POST", "/api/v1/join", rights.SeeBatch}, s.posted(s.Join), false},
		{Route{"POST", "/api/v1/exchange", rights.SeeBatch}, s.exchange, true},
		{Route{"GET", "/api/v1/events", rights.SeeBatch}, s.events, false},
		{Route{"GET", "/api/v1/bag/{code}", rights.SeeBag}, s.labels.bounded(s.bag, whoHoldsALabel), false},
		{Route{"GET", "/api/v1/photo/{sha256}", rights.SeeBatch}, s.photo, false},
		{Route{"HEAD", "/api/v1/photo/{sha256}", rights.SeeBatch}, s.photo, false},
		{Route{"PUT", "/api/v1/photo/{sha256}", rights.AddToBatch}, s.putPhoto, false},
		{Route{"GET", "/api/v1/sheet", rights.SeeBatch}, s.sheet, false},
		{Route{"POST", "/api/v1/reading", rights.SeeApp}, s.sensors.bounded(s.reading, anyone), false},

		{Route{"POST", "/api/v1/invite", rights.ManageHouse}, asked(s.Invite), false},
		{Route{"GET", "/api/v1/phones", rights.ManageHouse}, asked(s.Phones), false},
		{Route{"GET", "/api/v1/held/{device}", rights.ManageHouse}, ofDevice(s.Held), false},
		{Route{"POST", "/api/v1/held/{device}/accept", rights.ManageHouse}, ofDevice(s.Accept), false},
		{Route{"POST", "/api/v1/held/{device}/recall", rights.ManageHouse}, ofDevice(s.Recall), false},
		{Route{"DELETE", "/api/v1/held/{device}", rights.ManageHouse}, ofDevice(s.Discard), false},
		{Route{"DELETE", "/api/v1/example", rights.ManageHouse}, s.endExample, false},

		{Route{"GET", "/api/v1/calc", rights.SeeApp}, sums, false},
		{Route{"GET", "/api/v1/calc/{name}", rights.SeeApp}, oneSum, false},
		{Route{"POST", "/api/v1/calc/{name}", rights.SeeApp}, s.sum, false},
	}
}

// let answers a request of a route, or says why it does not.
func (s *server) let(row route) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		who, err := s.asker(r)
		if err == nil && row.Act == rights.SeeBag && who.Role == rights.Stranger {
			who.Role = rights.Label // the address itself holds the label
		}
		if err == nil && !rights.IsAllowed(who.Role, row.Act) && !(row.out && who.Revoked) {
			err = denied(who)
		}
		var v any
		if err == nil {
			v, err = row.answer(w, r, who)
		}
		s.reply(w, r, v, err)
	}
}

// reply tells what an answer gave.
func (s *server) reply(w http.ResponseWriter, r *http.Request, v any, err error) {
	switch {
	case err != nil:
		s.fail(w, r, err)
	case v != nil:
		write(w, r, http.StatusOK, v)
	}
}

func health(w http.ResponseWriter, _ *http.Request, _ rights.Asker) (any, error) {
	// A page of plain http asks this of the https origin, to see whether it is reached.
	w.Header().Set("Cross-Origin-Resource-Policy", "cross-origin")
	w.Header().Set("Cache-Control", "no-store")
	w.Header().Set("Content-Type", "text/plain; charset=utf-8")
	io.WriteString(w, "ok\n")
	return nil, nil
}

func asked(f func(rights.Asker) (any, error)) answer {
	return func(_ http.ResponseWriter, _ *http.Request, who rights.Asker) (any, error) { return f(who) }
}

func ofDevice(f func(rights.Asker, journal.ID) (any, error)) answer {
	return func(_ http.ResponseWriter, r *http.Request, who rights.Asker) (any, error) {
		device := journal.ID(mux.Vars(r)["device"])
		if err := device.Check("the phone"); err != nil {
			return nil, err
		}
		return f(who, device)
	}
}

func (s *server) bag(_ http.ResponseWriter, r *http.Request, who rights.Asker) (any, error) {
	return s.Bag(who, mux.Vars(r)["code"])
}

func (s *server) endExample(http.ResponseWriter, *http.Request, rights.Asker) (any, error) {
	return struct{}{}, s.EndExample()
}

func sums(http.ResponseWriter, *http.Request, rights.Asker) (any, error) { return calc.All(), nil }

func oneSum(_ http.ResponseWriter, r *http.Request, _ rights.Asker) (any, error) {
	return calc.Find(mux.Vars(r)["name"])
}
