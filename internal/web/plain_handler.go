package web

import (
	"net/http"

	"github.com/gorilla/mux"
)

// plainHandler is the handler for plain http from the network, see New.
func (s *server) plainHandler() http.Handler {
	s.contentPolicy = s.joiningPolicy
	s.checkHost = s.checkNetworkHost
	r := mux.NewRouter()
	on := func(method, path string, run endpoint) { r.HandleFunc(path, s.answerAnyone(run)).Methods(method) }
	on("GET", "/healthz", serveHealth)
	on("POST", "/api/v1/reading", s.recordReading)
	on("GET", "/api/v1/calendar/{calendar}", s.serveCalendarFeed)
	on("GET", "/joining/{file}", s.serveJoiningFile)
	on("GET", "/{dir:css|font|icon}/{file}", s.serveAppFile)
	on("GET", "/authority.crt", s.serveAuthority)
	on("GET", "/coldbatch.mobileconfig", s.serveProfile)
	r.MatcherFunc(notAPI).HandlerFunc(s.answerAnyone(s.serveJoiningPage)).Methods("GET", "HEAD")
	r.PathPrefix("/api/").HandlerFunc(s.refuseWith(s.needsHTTPS))
	r.NotFoundHandler, r.MethodNotAllowedHandler = s.refuseWith(notFound), s.refuseWith(methodNotAllowed)
	return s.withHeadersAndLimits(r)
}

// answerAnyone runs an endpoint with every asker as a stranger. It ignores cookies,
// which plain http must not carry.
func (s *server) answerAnyone(run endpoint) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		v, err := run(w, r, stranger)
		s.respond(w, r, stranger, v, err)
	}
}

// RouteByOrigin joins both handlers on the port of plain http: this computer gets full,
// everyone else plain.
func RouteByOrigin(full, plain http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if isLocal(r) {
			full.ServeHTTP(w, r)
			return
		}
		plain.ServeHTTP(w, r)
	})
}
