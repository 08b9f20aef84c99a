package web

import (
	"net/http"
	"net/netip"
	"strconv"
	"strings"
	"time"

	"coldbatch/internal/api"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
)

// stranger is an asker that nothing is known of.
var stranger = rights.Asker{Role: rights.Stranger}

// cookieName has the prefix that makes browsers restrict the cookie to one host, to
// https and to the path / (RFC 6265bis, 4.1.3.2).
const cookieName = "__Host-phone"

// A cookie lives as long as browsers allow (RFC 6265bis, 5.5: 400 days). A phone with
// one older than renewAfterDays gets a new one.
const (
	cookieDays     = 400
	renewAfterDays = 30
)

// identify returns the asker: the person at this computer, or the phone whose token
// the cookie holds.
func (s *server) identify(r *http.Request) (rights.Asker, error) {
	if isLocal(r) {
		return s.ActiveHub().LocalAsker(), nil
	}
	token, _, _ := readCookie(r)
	return s.ActiveHub().AskerByToken(r.Context(), token)
}

// isLocal says whether this computer sent the request to itself: by plain http, to a
// name that only means itself, and not through a proxy.
func isLocal(r *http.Request) bool {
	for _, name := range []string{"Forwarded", "X-Forwarded-For", "X-Real-Ip", "Via"} {
		if r.Header.Get(name) != "" {
			return false
		}
	}
	return r.TLS == nil && isLoopback(r.RemoteAddr) && isLoopbackName(normalizeHost(r.Host))
}

// isLoopback says whether a remote address is this computer.
func isLoopback(remote string) bool {
	a, err := netip.ParseAddrPort(remote)
	return err == nil && a.Addr().Unmap().IsLoopback()
}

// readCookie returns the token of the request's cookie, and the day, counted from
// 1970, on which the phone got it.
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

// setCookie returns the phone its token.
func setCookie(w http.ResponseWriter, token string, now time.Time) {
	http.SetCookie(w, &http.Cookie{
		Name: cookieName, Value: token + "." + strconv.FormatInt(dayOf(now), 10),
		Path: "/", MaxAge: cookieDays * 86400, Secure: true, HttpOnly: true, SameSite: http.SameSiteStrictMode,
	})
}

func dayOf(t time.Time) int64 { return t.Unix() / 86400 }

// pair pairs a phone. Its token goes into the cookie and nowhere else. Only guesses of
// the digits are counted, and only once the body is here: nobody guesses the 80 bits of
// a link, and so neither a guesser nor a slow sender shuts out a phone that has one.
func (s *server) pair(w http.ResponseWriter, r *http.Request, who rights.Asker) (any, error) {
	text, err := readBody(w, r, maxBody)
	if err != nil {
		return nil, err
	}
	var q api.PairRequest
	if err := decodeJSON(text, &q); err != nil {
		return nil, err
	}
	var paired *api.PairAnswer
	usePair := func() (err error) {
		paired, err = s.ActiveHub().Pair(r.Context(), who, q)
		return err
	}
	if _, isDigits := journal.ParseDigits(q.Code); isDigits && !isLocal(r) {
		err = s.codes.try(r.RemoteAddr, usePair)
	} else {
		err = usePair()
	}
	if err != nil {
		return nil, err
	}
	if paired.Token != "" {
		setCookie(w, paired.Token, s.now())
	}
	return paired, nil
}
