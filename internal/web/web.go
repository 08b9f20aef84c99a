// Package web answers browsers and sensors: it serves the phone app's files,
// carries requests to the use cases it is given, and lets each asker do what the
// table of package rights allows, with JSON, status codes, an event stream and
// strict headers. Call New with an App, and Port to join its two handlers on the port
// of plain http. It opens no port, keeps no data and knows no use case by more than its
// shape.
package web

import (
	"io/fs"
	"log"
	"net/http"
	"path"
	"strings"
	"time"

	"github.com/gorilla/mux"

	"coldbatch/internal/calc"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
)

// App is what the handlers need. Every field must be set.
type App struct {
	Static fs.FS // the phone app's files, see package static

	Who     func(token string) (rights.Asker, error) // whose token it is; "" and an unknown one are a stranger's
	Local   func() rights.Asker                      // whoever sits at this machine
	Hosts   func() []string                          // the names and the addresses of now that the network may ask for
	Network func() Network                           // how the hub is reached, for the joining page and the app

	About      func(who rights.Asker) (any, error)                                       // GET /api/v1/about
	Pair       func(who rights.Asker, body []byte) (answer any, token string, err error) // POST /api/v1/pair
	Join       Call                                                                      // POST /api/v1/join
	Exchange   Call                                                                      // POST /api/v1/exchange; a phone that is let in no more asks too, to hand in what it holds
	Events     func() (seq <-chan uint64, stop func())                                   // GET /api/v1/events
	Bag        func(who rights.Asker, code string) (any, error)                          // GET /api/v1/bag/CODE
	Invite     func(who rights.Asker) (any, error)                                       // POST /api/v1/invite
	Phones     func(who rights.Asker) (any, error)                                       // GET /api/v1/phones
	Held       func(who rights.Asker, device journal.ID) (any, error)                    // GET /api/v1/held/DEVICE
	Accept     func(who rights.Asker, device journal.ID) (any, error)                    // POST /api/v1/held/DEVICE/accept
	Discard    func(who rights.Asker, device journal.ID) (any, error)                    // DELETE /api/v1/held/DEVICE
	Recall     func(who rights.Asker, device journal.ID) (any, error)                    // POST /api/v1/held/DEVICE/recall
	Reading    func(token string, celsius float64) error                                 // POST /api/v1/reading
	Photos     Photos                                                                    // HEAD, GET, PUT /api/v1/photo/HASH
	Sheet      func(who rights.Asker, get func(key string) string) (*File, error)        // GET /api/v1/sheet, by its query
	EndExample func() error                                                              // DELETE /api/v1/example
	Env        func(zone string) (calc.Env, error)                                       // clock and zone ("" the hub's) of a sum

	Log *log.Logger // internal errors
}

type server struct {
	App
	assets                 *assets
	policy                 func(*http.Request) string // the content security policy of what is answered
	mine                   func(*http.Request) error  // refuses what is for another host
	now                    func() time.Time
	beat                   time.Duration // of the event stream
	patience               time.Duration // with a request's body
	codes, labels, sensors *guesses
}

func newServer(app App) (*server, error) {
	assets, err := load(app.Static)
	if err != nil {
		return nil, err
	}
	s := &server{App: app, assets: assets, now: time.Now, beat: heartbeat, patience: patience}
	now := func() time.Time { return s.now() }
	s.codes, s.labels, s.sensors = newGuesses("codes", now), newGuesses("labels", now), newGuesses("sensor tokens", now)
	return s, nil
}

// New gives the two handlers: full, of the whole app, for https and for plain http
// from this very machine to itself; and plain, for plain http on the network: the
// joining page at every path, the certificate to trust in both its forms, and a
// place for sensors to send to. Nothing of the house is in that one, and no one is
// let in by it. New fails, with a sentence that says what to run, where the
// generated part of the app is not there.
func New(app App) (full, plain http.Handler, err error) {
	s, err := newServer(app)
	if err != nil {
		return nil, nil, err
	}
	other := *s
	return s.full(), other.plain(), nil
}

func (s *server) full() http.Handler {
	s.policy = func(*http.Request) string { return s.assets.policy }
	s.mine = s.forApp
	// Whole paths and no sub-router: in a sub-router mux 1.8.1 forgets that it was
	// the method alone that did not fit.
	r := mux.NewRouter()
	for _, row := range s.routes() {
		r.HandleFunc(row.Path, s.let(row)).Methods(row.Method)
	}
	r.MatcherFunc(notAPI).HandlerFunc(s.page).Methods("GET", "HEAD")
	r.NotFoundHandler, r.MethodNotAllowedHandler = s.failing(nowhere), s.failing(wrongMethod)
	return s.guard(r)
}

func notAPI(r *http.Request, _ *mux.RouteMatch) bool { return !strings.HasPrefix(r.URL.Path, "/api/") }

// page serves a file of the app, or index.html for a screen of the app: any path
// whose last part has no dot. So a label's address works in any case, and a
// screen that a newer app adds needs nothing here.
func (s *server) page(w http.ResponseWriter, r *http.Request) {
	name := strings.TrimPrefix(path.Clean(r.URL.Path), "/")
	if name == "" {
		name = "index.html"
	}
	if a, ok := s.assets.byName[name]; ok {
		a.serve(w, r)
		return
	}
	if strings.Contains(path.Base(name), ".") {
		s.fail(w, r, nowhere(r))
		return
	}
	s.assets.byName["index.html"].serve(w, r)
}
