package web

import (
	"bytes"
	"compress/gzip"
	"encoding/json"
	"errors"
	"net/http"
	"sync"

	"github.com/gorilla/mux"

	"coldbatch/internal/api"
	"coldbatch/internal/calc"
	"coldbatch/internal/exchange"
	"coldbatch/internal/fault"
	"coldbatch/internal/rights"
	"coldbatch/internal/unit"
)

// A request's body has at most maxBody bytes. Only an exchange may have more, since it
// carries facts; it is for phones that are paired.
const (
	maxBody         = 16 << 10
	maxExchangeBody = 1 << 20
)

func decodeJSON(text []byte, into any) error {
	if err := json.Unmarshal(text, into); err != nil {
		if f := (*fault.Fault)(nil); errors.As(err, &f) {
			return f
		}
		return fault.New(fault.Input, "the request is not the JSON that is expected: %v", err)
	}
	return nil
}

// readBodyAndAsker reads the request's body, and then identifies the asker once more:
// the body may have taken a while to arrive, and the phone may be revoked by now.
func (s *server) readBodyAndAsker(w http.ResponseWriter, r *http.Request, limit int64) ([]byte, rights.Asker, error) {
	text, err := readBody(w, r, limit)
	if err != nil {
		return nil, stranger, err
	}
	who, err := s.identify(r)
	return text, who, err
}

// readBody reads the request's body, up to limit bytes. The buffer grows with what
// arrives and not to the length that is announced, which costs the sender nothing.
func readBody(w http.ResponseWriter, r *http.Request, limit int64) ([]byte, error) {
	if r.ContentLength > limit {
		return nil, tooLong(limit)
	}
	var text bytes.Buffer
	_, err := text.ReadFrom(http.MaxBytesReader(w, r.Body, limit))
	if long := (*http.MaxBytesError)(nil); errors.As(err, &long) {
		return nil, tooLong(limit)
	}
	if err != nil {
		return nil, fault.New(fault.Input, "the request was cut off")
	}
	stopCountingBody(r)
	return text.Bytes(), nil
}

// hubAbout says which hub this is and how it is reached.
func (s *server) hubAbout(_ http.ResponseWriter, r *http.Request, who rights.Asker) (any, error) {
	about, err := s.ActiveHub().About(r.Context(), who, s.Version)
	if err != nil {
		return nil, err
	}
	return struct {
		*api.AboutAnswer
		Network Network `json:"network"`
	}{about, s.Network()}, nil
}

// exchange exchanges facts with a phone, and renews its cookie before it expires.
func (s *server) exchange(w http.ResponseWriter, r *http.Request, _ rights.Asker) (any, error) {
	text, who, err := s.readBodyAndAsker(w, r, maxExchangeBody)
	if err != nil {
		return nil, err
	}
	answer, err := buildInTurn(r.Context(), s.exchanges, who, func() (*exchange.Answer, error) {
		q, err := exchange.ParseRequest(text)
		if err != nil {
			return nil, err
		}
		return s.ActiveHub().Exchange(r.Context(), who, q)
	})
	if err != nil {
		return nil, err
	}
	if token, day, ok := readCookie(r); ok && who.Device != "" && dayOf(s.now())-day >= renewAfterDays {
		setCookie(w, token, s.now())
	}
	return answer, nil
}

// runCalculator runs the calculator that the path names.
func (s *server) runCalculator(w http.ResponseWriter, r *http.Request, _ rights.Asker) (any, error) {
	text, err := readBody(w, r, maxBody)
	if err != nil {
		return nil, err
	}
	var q struct {
		Inputs map[string]string `json:"inputs"`
		Style  unit.Style        `json:"style"`
		Zone   string            `json:"zone"`
	}
	if err := decodeJSON(text, &q); err != nil {
		return nil, err
	}
	env, err := s.CalcEnv(q.Zone)
	if err != nil {
		return nil, err
	}
	env.Style = q.Style
	return calc.Run(mux.Vars(r)["name"], q.Inputs, env)
}

// minGzipSize is from how many bytes on an answer is compressed.
const minGzipSize = 16 << 10

// gzipPool reuses gzip writers: making one costs more than using it.
type gzipPool struct{ sync.Pool }

func newGzipPool() *gzipPool {
	return &gzipPool{sync.Pool{New: func() any {
		z, _ := gzip.NewWriterLevel(nil, gzip.BestSpeed) // fails only for an unknown level
		return z
	}}}
}

// writeJSON sends v as JSON. It does not escape HTML, because facts travel byte for
// byte. It compresses a long answer, to a seventh where it is facts: a phone in the
// yard has bad Wi-Fi, and a journal has megabytes. The compressed length reveals no
// secret: no answer contains a phone's own token, and a phone gets a batch's code only
// once.
func (s *server) writeJSON(w http.ResponseWriter, r *http.Request, code int, v any) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(v); err != nil {
		s.Log.Printf("%s %s: %v", r.Method, r.URL.Path, err)
		code, b = http.StatusInternalServerError, *bytes.NewBufferString(`{"error":{"code":"internal","sentence":"the answer could not be written"}}` + "\n")
	}
	h := w.Header()
	h.Set("Content-Type", "application/json")
	h.Set("Cache-Control", "no-store")
	if b.Len() < minGzipSize || !acceptsEncoding(r.Header.Get("Accept-Encoding"), "gzip") {
		w.WriteHeader(code)
		w.Write(b.Bytes()) // an error means that the client is gone
		return
	}
	h.Set("Content-Encoding", "gzip")
	w.WriteHeader(code)
	z := s.gzipWriters.Get().(*gzip.Writer)
	defer s.gzipWriters.Put(z)
	z.Reset(w)
	z.Write(b.Bytes())
	z.Close()
}
