package web

import (
	"context"
	"net/http"
	"net/url"
	"strconv"

	"coldbatch/internal/rights"
)

// LabelPrinter makes a file of labels as a query describes them.
type LabelPrinter interface {
	PrintLabels(ctx context.Context, who rights.Asker, query url.Values) (*File, error)
}

// File is an answer that is not JSON. Type is its media type. Name is what a browser
// saves it as; it has only letters, digits, hyphens and dots.
type File struct {
	Name, Type string
	Body       []byte
}

// serveSheet sends labels to print. They show the current state and every bag's name,
// so nothing may store them.
func (s *server) serveSheet(w http.ResponseWriter, r *http.Request, who rights.Asker) (any, error) {
	f, err := buildInTurn(r.Context(), s.builds, who, func() (*File, error) {
		return s.LabelPrinter.PrintLabels(r.Context(), who, r.URL.Query())
	})
	if err != nil {
		return nil, err
	}
	writeFile(w, *f)
	return nil, nil
}

// writeFile sends a file that nothing may store.
func writeFile(w http.ResponseWriter, f File) {
	h := w.Header()
	h.Set("Content-Type", f.Type)
	h.Set("Content-Disposition", `inline; filename="`+f.Name+`"`)
	h.Set("Content-Length", strconv.Itoa(len(f.Body)))
	h.Set("Cache-Control", "no-store")
	_, _ = w.Write(f.Body) // an error means that the client is gone
}
