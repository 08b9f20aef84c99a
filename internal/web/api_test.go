package web

import (
	"compress/gzip"
	"fmt"
	"io"
	"net/http"
	"strings"
	"sync"
	"testing"
)

// A long answer is compressed for whoever takes that, byte for byte the same, also
// where many ask at once. (RFC 9110, 8.4.1.3 and 12.5.3)
func TestLongAnswers(t *testing.T) {
	h := newFullHandler(t, newTestApp(t))
	long := `{"device":"` + strings.Repeat("rust & <deep> yellow é ", 1000) + `"}`
	var all sync.WaitGroup
	for n := range 20 {
		for _, c := range []struct{ body, accept, encoding string }{
			{long, "gzip, deflate, br, zstd", "gzip"},
			{long, "br", ""},
			{long, "gzip;q=0", ""},
			{long, "", ""},
			{`{"device":"short"}`, "gzip", ""},
		} {
			all.Go(func() {
				body := strings.Replace(c.body, ":\"", fmt.Sprintf(":\"%d ", n), 1)
				w := sendRequest(h, "POST", "/api/v1/exchange", body, "From: https owner", "Accept-Encoding: "+c.accept)
				var text io.Reader = w.Body
				if c.encoding == "gzip" {
					z, err := gzip.NewReader(w.Body)
					if err != nil || w.Body.Len() > len(body)/10 {
						t.Errorf("%d bytes were sent: %v", w.Body.Len(), err)
						return
					}
					text = z
				}
				got, err := io.ReadAll(text)
				device := strings.TrimSuffix(strings.TrimPrefix(body, `{"device":`), "}")
				if w.Code != http.StatusOK || err != nil || !strings.Contains(string(got), `"hub":{"id":`+device+"}") {
					t.Errorf("taking %q, it answered %d, %d bytes: %v", c.accept, w.Code, len(got), err)
				}
				if e := w.Header().Get("Content-Encoding"); e != c.encoding {
					t.Errorf("taking %q, the encoding is %q", c.accept, e)
				}
			})
		}
	}
	all.Wait()
}

// A body is read whole, and in no case beyond what may be.
func TestBodies(t *testing.T) {
	h := newFullHandler(t, newTestApp(t))
	for bytes, code := range map[int]int{300_000: 200, maxExchangeBody: 200, maxExchangeBody + 1: 413} {
		w := sendRequest(h, "POST", "/api/v1/exchange", `{"device":"`+strings.Repeat("x", bytes-13)+`"}`, "From: https owner")
		if w.Code != code || code == 200 && !strings.Contains(w.Body.String(), `"`+strings.Repeat("x", bytes-13)+`"`) {
			t.Errorf("%d bytes: %d, %d bytes", bytes, w.Code, w.Body.Len())
		}
	}
	for bytes, code := range map[int]int{maxBody: 200, maxBody + 1: 413} { // what anyone may send is short
		text := `{"code":"12345678"}`
		w := sendRequest(h, "POST", "/api/v1/pair", text+strings.Repeat(" ", bytes-len(text)), "From: https nobody")
		if w.Code != code || code == 413 && !strings.Contains(w.Body.String(), "longer than 16 KB") {
			t.Errorf("%d bytes: %d %s", bytes, w.Code, w.Body)
		}
	}
}
