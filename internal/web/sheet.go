package web

import (
	"net/http"
	"strconv"

	"coldbatch/internal/rights"
)

// File is an answer that is not JSON. Type is its media type, and Name what a browser
// saves it as: letters, digits, hyphens and stops alone.
type File struct {
	Name, Type string
	Body       []byte
}

// sheet gives labels to print. They are of now and name every bag, so nothing keeps
// them.
func (s *server) sheet(w http.ResponseWriter, r *http.Request, who rights.Asker) (any, error) {
	f, err := s.Sheet(who, r.URL.Query().Get)
	if err != nil {
		return nil, err
	}
	h := w.Header()
	h.Set("Content-Type", f.Type)
	h.Set("Content-Disposition", `inline; filename="`+f.Name+`"`)
	h.Set("Content-Length", strconv.Itoa(len(f.Body)))
	h.Set("Cache-Control", "no-store")
	_, _ = w.Write(f.Body) // whoever asked may have gone
	return nil, nil
}
