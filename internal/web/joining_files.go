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

// joiningPolicy returns the content security policy of the joining page. Besides its own
// files it may only request the app's origin, to see whether the phone reaches it.
func (s *server) joiningPolicy(r *http.Request) string {
	return strings.Join([]string{
		"default-src 'none'", "script-src 'self'", "style-src 'self'", "img-src 'self'", "font-src 'self'",
		"connect-src 'self' " + strings.Join(s.origins(r), " "),
		"base-uri 'none'", "form-action 'none'", "frame-ancestors 'none'",
	}, "; ")
}

// origins returns the https origins that the page of r may reach: by the hub's name, and
// by the address in the browser's address bar.
func (s *server) origins(r *http.Request) []string {
	n := s.Network()
	list := []string{n.AppURL()}
	if name := normalizeHost(r.Host); s.checkHost(r) == nil && name != normalizeHost(n.Host) {
		if strings.Contains(name, ":") {
			name = "[" + name + "]"
		}
		list = append(list, fmt.Sprintf("https://%s:%d", name, n.HTTPSPort))
	}
	return list
}

// serveJoiningFile serves the style and script of the joining page.
func (s *server) serveJoiningFile(w http.ResponseWriter, r *http.Request, _ rights.Asker) (any, error) {
	name := mux.Vars(r)["file"]
	body, err := joiningFiles.ReadFile("joining/" + name)
	if kind := path.Ext(name); err != nil || kind != ".css" && kind != ".js" {
		return nil, notFound(r)
	}
	w.Header().Set("Content-Type", contentTypes[path.Ext(name)])
	w.Header().Set("Cache-Control", "no-cache")
	w.Write(body)
	return nil, nil
}

// serveAppFile serves what the joining page uses of the app: styles, font and icon.
func (s *server) serveAppFile(w http.ResponseWriter, r *http.Request, _ rights.Asker) (any, error) {
	a := s.assets.byName[mux.Vars(r)["dir"]+"/"+mux.Vars(r)["file"]]
	if a == nil {
		return nil, notFound(r)
	}
	a.serve(w, r)
	return nil, nil
}

// serveAuthority sends the authority's certificate. Its key is never served.
func (s *server) serveAuthority(w http.ResponseWriter, r *http.Request, _ rights.Asker) (any, error) {
	return s.serveCertificate(w, r, s.Network().Authority, "application/x-x509-ca-cert")
}

// serveProfile sends the same certificate in the form that an iPhone installs.
func (s *server) serveProfile(w http.ResponseWriter, r *http.Request, _ rights.Asker) (any, error) {
	return s.serveCertificate(w, r, s.Network().Profile, "application/x-apple-aspen-config")
}

func (s *server) serveCertificate(w http.ResponseWriter, r *http.Request, body []byte, kind string) (any, error) {
	if s.Network().HasOwnCertificate || len(body) == 0 {
		return nil, fault.New(fault.NotFound, "there is no certificate to install: the program uses your own certificate").
			WithHint("open %s", s.Network().AppURL())
	}
	w.Header().Set("Content-Type", kind)
	w.Header().Set("Cache-Control", "no-store")
	w.Write(body)
	return nil, nil
}

func (s *server) needsHTTPS(r *http.Request) error {
	return fault.New(fault.Refused, "only the joining page is served over plain http").
		WithHint("open %s; %s explains how to make a phone trust it", s.Network().AppURL(), s.Network().JoinURL())
}
