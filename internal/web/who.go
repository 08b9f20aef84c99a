package web

import (
	"net/http"
	"net/netip"
	"strconv"
	"strings"
	"time"

	"coldbatch/internal/rights"
)

// cookieName has the prefix that makes browsers hold it to one host, to https and
// to the path / (RFC 6265bis, 4.1.3.2).
const cookieName = "__Host-phone"

// A cookie is kept as long as browsers allow (RFC 6265bis, 5.5: 400 days) and
// given anew to a phone that comes with one older than renewAfter.
const (
	cookieDays = 400
	renewAfter = 30
)

// asker finds out who asks: this machine itself, or whose token the cookie holds.
func (s *server) asker(r *http.Request) (rights.Asker, error) {
	if local(r) {
		return s.Local(), nil
	}
	token, _, _ := readCookie(r)
	return s.Who(token)
}

// local says whether the request is of this very machine to itself, in plain http
// and by a name that only means itself. What a proxy passes on is someone else's.
func local(r *http.Request) bool {
	for _, name := range []string{"Forwarded", "X-Forwarded-For", "X-Real-Ip", "Via"} {
		if r.Header.Get(name) != "" {
			return false
		}
	}
	return r.TLS == nil && loopback(r.RemoteAddr) && loopbackName(hostName(r.Host))
}

// loopback says whether a remote address is this machine.
func loopback(remote string) bool {
	a, err := netip.ParseAddrPort(remote)
	return err == nil && a.Addr().Unmap().IsLoopback()
}

// readCookie gives the token of the request's cookie and the day, counted from
// 1970, on which the phone was given it.
func readCookie(r *http.Request) (token string, day int64, ok bool) {
	c, err := r.Cookie(cookieName)
	if err != nil {
		return "", 0, false
	}
	token, text, ok := strings.Cut(c.Value, ".")
	if !ok || token == "" || len(token) > 100 {
		return "", 0, false
	}
	if day, err = strconv.ParseInt(text, 10, 32); err != nil {
		return "", 0, false
	}
	return token, day, true
}

// setCookie gives the phone its token.
func setCookie(w http.ResponseWriter, token string, now time.Time) {
	http.SetCookie(w, &http.Cookie{
		Name: cookieName, Value: token + "." + strconv.FormatInt(dayOf(now), 10),
		Path: "/", MaxAge: cookieDays * 86400, Secure: true, HttpOnly: true, SameSite: http.SameSiteStrictMode,
	})
}

func dayOf(t time.Time) int64 { return t.Unix() / 86400 }

// pair lets a phone in. The token goes into the cookie and nowhere else.
func (s *server) pair(w http.ResponseWriter, r *http.Request, who rights.Asker) (any, error) {
	body, err := body(w, r)
	if err != nil {
		return nil, err
	}
	v, token, err := s.Pair(who, body)
	if err == nil && token != "" {
		setCookie(w, token, s.now())
	}
	return v, err
}

// exchange also keeps the cookie from running out.
func (s *server) exchange(w http.ResponseWriter, r *http.Request, who rights.Asker) (any, error) {
	v, err := s.posted(s.Exchange)(w, r, who)
	if token, day, ok := readCookie(r); err == nil && ok && who.Device != "" && dayOf(s.now())-day >= renewAfter {
		setCookie(w, token, s.now())
	}
	return v, err
}
