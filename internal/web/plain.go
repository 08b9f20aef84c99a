package web

import (
	"net/http"

	"github.com/gorilla/mux"

	"coldbatch/internal/rights"
)

func (s *server) plain() http.Handler {
	s.policy = s.joiningPolicy
	s.mine = s.forNetwork
	r := mux.NewRouter()
	on := func(method, path string, a answer) { r.HandleFunc(path, s.open(a)).Methods(method) }
	on("GET", "/healthz", health)
	on("POST", "/api/v1/reading", s.sensors.bounded(s.reading, anyone))
	on("GET", "/joining/{file}", s.joiningFile)
	on("GET", "/{dir:css|font|icon}/{file}", s.dress)
	on("GET", "/authority.crt", s.authority)
	on("GET", "/coldbatch.mobileconfig", s.profile)
	r.MatcherFunc(notAPI).HandlerFunc(s.open(s.joining)).Methods("GET", "HEAD")
	r.PathPrefix("/api/").HandlerFunc(s.failing(s.onlyHTTPS))
	r.NotFoundHandler, r.MethodNotAllowedHandler = s.failing(nowhere), s.failing(wrongMethod)
	return s.guard(r)
}

// open answers anyone as a stranger: a cookie that comes in the clear is not
// looked at.
func (s *server) open(a answer) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		v, err := a(w, r, rights.Asker{Role: rights.Stranger})
		s.reply(w, r, v, err)
	}
}

// Port joins both handlers on the port of plain http: this very machine gets full,
// everyone else plain.
func Port(full, plain http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if local(r) {
			full.ServeHTTP(w, r)
			return
		}
		plain.ServeHTTP(w, r)
	})
}
