// Package web answers the browser: it serves the phone app's files and carries
// requests to the use cases it is given, with JSON, status codes, an event
// stream and strict headers. Call New with an App; the result is a handler. It
// opens no port, keeps no data and knows no use case by more than its shape.
package web

import (
	"io"
	"io/fs"
	"log"
	"net/http"
	"path"
	"strings"

	"github.com/gorilla/mux"

	"coldbatch/internal/calc"
)

// App is what the handler needs. Every field but Hosts must be set.
type App struct {
	Static fs.FS // the phone app's files, see package static

	About      func() (any, error)                     // GET /api/v1/about
	Join       Call                                    // POST /api/v1/join
	Exchange   Call                                    // POST /api/v1/exchange
	Bag        func(code string) (any, error)          // GET /api/v1/bag/CODE
	EndExample func() error                            // DELETE /api/v1/example
	Events     func() (seq <-chan uint64, stop func()) // GET /api/v1/events
	Env        func(zone string) (calc.Env, error)     // clock and zone ("" the hub's) of a sum
	Hosts      []string                                // names beside localhost that a request may be for
	Log        *log.Logger                             // internal errors
}

type server struct {
	App
	assets *assets
}

// New gives the handler. It fails, with a sentence that says what to run, where
// the generated part of the app is not there.
func New(app App) (http.Handler, error) {
	assets, err := load(app.Static)
	if err != nil {
		return nil, err
	}
	s := &server{App: app, assets: assets}
	// Whole paths and no sub-router: in a sub-router mux 1.8.1 forgets that it was
	// the method alone that did not fit.
	r := mux.NewRouter()
	on := func(method, path string, h http.HandlerFunc) { r.HandleFunc(path, h).Methods(method) }
	on("GET", "/healthz", func(w http.ResponseWriter, _ *http.Request) { io.WriteString(w, "ok\n") })
	on("GET", "/api/v1/about", s.api(func(*http.Request) (any, error) { return s.About() }))
	on("POST", "/api/v1/join", s.post(s.Join))
	on("POST", "/api/v1/exchange", s.post(s.Exchange))
	on("GET", "/api/v1/bag/{code}", s.api(func(r *http.Request) (any, error) { return s.Bag(mux.Vars(r)["code"]) }))
	on("GET", "/api/v1/events", s.events)
	on("DELETE", "/api/v1/example", s.api(func(*http.Request) (any, error) { return struct{}{}, s.EndExample() }))
	on("GET", "/api/v1/calc", s.api(func(*http.Request) (any, error) { return calc.All(), nil }))
	on("GET", "/api/v1/calc/{name}", s.api(func(r *http.Request) (any, error) { return calc.Find(mux.Vars(r)["name"]) }))
	on("POST", "/api/v1/calc/{name}", s.sum)
	r.MatcherFunc(notAPI).HandlerFunc(s.page).Methods("GET", "HEAD")
	r.NotFoundHandler, r.MethodNotAllowedHandler = s.api(nowhere), s.api(wrongMethod)
	return s.guard(r), nil
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
		http.Error(w, "there is no such file", http.StatusNotFound)
		return
	}
	s.assets.byName["index.html"].serve(w, r)
}
