package web

import (
	"bytes"
	"compress/gzip"
	"encoding/json"
	"errors"
	"net/http"
	"sync"

	"github.com/gorilla/mux"

	"coldbatch/internal/calc"
	"coldbatch/internal/fault"
	"coldbatch/internal/rights"
	"coldbatch/internal/unit"
)

// maxBody is the longest request that is read.
const maxBody = 1 << 20

// Call is a use case: who asks and the body of the request in, what is answered
// out.
type Call func(who rights.Asker, body []byte) (any, error)

// Body makes a Call of a use case that takes a Q and gives an A.
func Body[Q, A any](f func(who rights.Asker, q Q) (A, error)) Call {
	return func(who rights.Asker, body []byte) (any, error) {
		var q Q
		if err := decode(body, &q); err != nil {
			return nil, err
		}
		return f(who, q)
	}
}

func decode(body []byte, into any) error {
	if err := json.Unmarshal(body, into); err != nil {
		if f := (*fault.Fault)(nil); errors.As(err, &f) {
			return f
		}
		return fault.New(fault.Input, "the request is not the JSON that is expected: %v", err)
	}
	return nil
}

// posted answers with what c makes of the request's body.
func (s *server) posted(c Call) answer {
	return func(w http.ResponseWriter, r *http.Request, _ rights.Asker) (any, error) {
		text, err := body(w, r)
		if err != nil {
			return nil, err
		}
		// Its coming may have taken a while: who asked may be let in no more.
		who, err := s.asker(r)
		if err != nil {
			return nil, err
		}
		return c(who, text)
	}
}

// body reads what was sent, up to maxBody.
func body(w http.ResponseWriter, r *http.Request) ([]byte, error) {
	var text bytes.Buffer
	if r.ContentLength > 0 && r.ContentLength <= maxBody {
		text.Grow(int(r.ContentLength) + bytes.MinRead) // and no more often
	}
	_, err := text.ReadFrom(http.MaxBytesReader(w, r.Body, maxBody))
	if long := (*http.MaxBytesError)(nil); errors.As(err, &long) {
		return nil, errTooLong
	}
	if err != nil {
		return nil, fault.New(fault.Input, "the request broke off")
	}
	return text.Bytes(), nil
}

// about adds how the hub is reached to what the use case says of it.
func (s *server) about(_ http.ResponseWriter, _ *http.Request, who rights.Asker) (any, error) {
	v, err := s.About(who)
	if err != nil {
		return nil, err
	}
	text, err := json.Marshal(v)
	if err != nil {
		return nil, err
	}
	all := map[string]json.RawMessage{}
	if err := json.Unmarshal(text, &all); err != nil {
		return nil, err
	}
	all["network"], err = json.Marshal(s.Network())
	return all, err
}

// sum runs a calculator.
func (s *server) sum(w http.ResponseWriter, r *http.Request, who rights.Asker) (any, error) {
	return s.posted(Body(func(_ rights.Asker, q struct {
		Inputs map[string]string `json:"inputs"`
		Style  unit.Style        `json:"style"`
		Zone   string            `json:"zone"`
	}) (*calc.Result, error) {
		env, err := s.Env(q.Zone)
		if err != nil {
			return nil, err
		}
		env.Style = q.Style
		return calc.Run(mux.Vars(r)["name"], q.Inputs, env)
	}))(w, r, who)
}

// longAnswer is from how many bytes on an answer is compressed.
const longAnswer = 16 << 10

// zips are for answers; making one costs more than using it.
var zips = sync.Pool{New: func() any {
	z, _ := gzip.NewWriterLevel(nil, gzip.BestSpeed) // a level that there is
	return z
}}

// write sends v as JSON. HTML is not escaped: facts travel byte for byte. A long
// answer is compressed, to a seventh where it is facts: a phone in the yard is on
// bad Wi-Fi, and a journal has megabytes. Lengths tell nobody a secret: a phone's own
// is in no answer, and that of a batch in one that a phone gets once.
func write(w http.ResponseWriter, r *http.Request, code int, v any) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(v); err != nil {
		code, b = http.StatusInternalServerError, *bytes.NewBufferString(`{"error":{"code":"internal","sentence":"the answer could not be written"}}` + "\n")
	}
	h := w.Header()
	h.Set("Content-Type", "application/json")
	h.Set("Cache-Control", "no-store")
	if b.Len() < longAnswer || !accepts(r.Header.Get("Accept-Encoding"), "gzip") {
		w.WriteHeader(code)
		w.Write(b.Bytes())
		return
	}
	h.Set("Content-Encoding", "gzip")
	w.WriteHeader(code)
	z := zips.Get().(*gzip.Writer)
	defer zips.Put(z)
	z.Reset(w)
	z.Write(b.Bytes()) // whoever asked may be gone
	z.Close()
}
