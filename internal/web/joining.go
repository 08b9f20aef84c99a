package web

import (
	"fmt"
	"net/http"
	"path"
	"strings"

	"github.com/gorilla/mux"

	"coldbatch/internal/fault"
	"coldbatch/internal/rights"
)

// joiningPolicy lets the joining page ask the app's origin whether it is reached,
// and nothing else from elsewhere.
func (s *server) joiningPolicy(r *http.Request) string {
	return strings.Join([]string{
		"default-src 'none'", "script-src 'self'", "style-src 'self'", "img-src 'self'", "font-src 'self'",
		"connect-src 'self' " + strings.Join(s.origins(r), " "),
		"base-uri 'none'", "form-action 'none'", "frame-ancestors 'none'",
	}, "; ")
}

// origins are where https may be reached from the page that r asks for: by the
// name, and by the address in the browser's line.
func (s *server) origins(r *http.Request) []string {
	n := s.Network()
	list := []string{n.App()}
	if name := hostName(r.Host); s.mine(r) == nil && name != hostName(n.Host) {
		if strings.Contains(name, ":") {
			name = "[" + name + "]"
		}
		list = append(list, fmt.Sprintf("https://%s:%d", name, n.HTTPS))
	}
	return list
}

// joiningFile serves what the joining page and the refusals are dressed in.
func (s *server) joiningFile(w http.ResponseWriter, r *http.Request, _ rights.Asker) (any, error) {
	name := mux.Vars(r)["file"]
	body, err := joiningFiles.ReadFile("joining/" + name)
	if kind := path.Ext(name); err != nil || kind != ".css" && kind != ".js" {
		return nil, nowhere(r)
	}
	w.Header().Set("Content-Type", types[path.Ext(name)])
	w.Header().Set("Cache-Control", "no-cache")
	w.Write(body)
	return nil, nil
}

// dress serves what the joining page takes from the app: its face, font and icon.
func (s *server) dress(w http.ResponseWriter, r *http.Request, _ rights.Asker) (any, error) {
	a := s.assets.byName[mux.Vars(r)["dir"]+"/"+mux.Vars(r)["file"]]
	if a == nil {
		return nil, nowhere(r)
	}
	a.serve(w, r)
	return nil, nil
}

// authority gives the certificate to trust. Its key is never served.
func (s *server) authority(w http.ResponseWriter, r *http.Request, _ rights.Asker) (any, error) {
	return s.certificate(w, r, s.Network().Authority, "application/x-x509-ca-cert")
}

// profile gives the same certificate in the form an iPhone installs.
func (s *server) profile(w http.ResponseWriter, r *http.Request, _ rights.Asker) (any, error) {
	return s.certificate(w, r, s.Network().Profile, "application/x-apple-aspen-config")
}

func (s *server) certificate(w http.ResponseWriter, r *http.Request, body []byte, kind string) (any, error) {
	if s.Network().Own || len(body) == 0 {
		return nil, fault.New(fault.NotFound, "there is no certificate to install: the program uses one of its owner's own").
			WithHint("open %s", s.Network().App())
	}
	w.Header().Set("Content-Type", kind)
	w.Header().Set("Cache-Control", "no-store")
	w.Write(body)
	return nil, nil
}

func (s *server) onlyHTTPS(r *http.Request) error {
	return fault.New(fault.Refused, "over plain http there is only the joining page").
		WithHint("open %s; %s says how a phone gets to trust it", s.Network().App(), s.Network().Door())
}
