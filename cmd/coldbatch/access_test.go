package main

import (
	"bytes"
	"crypto/sha256"
	"crypto/tls"
	"crypto/x509"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"log"
	"net/http"
	"net/http/cookiejar"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	"coldbatch/internal/api"
	"coldbatch/internal/exchange"
	"coldbatch/internal/journal"
	"coldbatch/internal/label"
	"coldbatch/internal/web"
)

// mustRunOnNetwork starts a program in this process that answers in the network too.
func mustRunOnNetwork(t *testing.T) *Program {
	t.Helper()
	p := &Program{Data: t.TempDir(), AnyPort: true, Zone: "Europe/Lisbon", Log: log.New(io.Discard, "", 0)}
	if err := p.Run(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { p.Close() })
	return p
}

// client is one asker of a house: a phone with a cookie jar and a writer, or the
// computer itself.
type client struct {
	t      *testing.T
	base   string
	http   http.Client
	author journal.Author
}

// newClient returns a client like a phone that is not paired yet.
func newClient(t *testing.T, p *Program) *client {
	t.Helper()
	roots := x509.NewCertPool()
	authority, err := x509.ParseCertificate(p.network.current().Authority)
	if err != nil {
		t.Fatal(err)
	}
	roots.AddCert(authority)
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	c := &client{t: t, base: fmt.Sprintf("https://localhost:%d", p.HTTPS), author: journal.Author{TZ: "Europe/Lisbon", Now: machineSystem().Now(), Random: machineSystem().Random}}
	c.author.Device = c.author.NewID()
	c.http = http.Client{Jar: jar, Timeout: 10 * time.Second, Transport: &http.Transport{TLSClientConfig: &tls.Config{RootCAs: roots}}}
	return c
}

// request makes a request and reads a good answer into v.
func (c *client) request(method, path string, body []byte, v any) int {
	c.t.Helper()
	r, err := http.NewRequestWithContext(c.t.Context(), method, c.base+path, bytes.NewReader(body))
	if err != nil {
		c.t.Fatal(err)
	}
	resp, err := c.http.Do(r)
	if err != nil {
		c.t.Fatal(err)
	}
	defer resp.Body.Close()
	if resp.StatusCode != http.StatusOK || v == nil {
		return resp.StatusCode // an event stream would not end
	}
	if err := json.NewDecoder(resp.Body).Decode(v); err != nil {
		c.t.Fatalf("%s %s: %v", method, path, err)
	}
	return resp.StatusCode
}

func (c *client) mustCall(method, path string, q, v any) {
	c.t.Helper()
	text, err := json.Marshal(q)
	if err != nil {
		c.t.Fatal(err)
	}
	if got := c.request(method, path, text, v); got != http.StatusOK {
		c.t.Fatalf("%s %s %s gave %d", method, path, text, got)
	}
}

// pair lets the phone in by a code.
func (c *client) pair(code string) (p api.PairAnswer) {
	c.t.Helper()
	c.mustCall("POST", "/api/v1/pair", api.PairRequest{Device: c.author.Device, Name: "invented phone", Code: code}, &p)
	return p
}

// write records drafts and sends them.
func (c *client) write(drafts ...journal.Draft) []journal.Fact {
	c.t.Helper()
	facts, err := c.author.MakeFacts(drafts)
	if err != nil {
		c.t.Fatal(err)
	}
	q := exchange.Request{Device: c.author.Device}
	for _, f := range facts {
		q.Facts = append(q.Facts, f.Text())
	}
	var a exchange.Answer
	c.mustCall("POST", "/api/v1/exchange", q, &a)
	if len(a.Acks) != len(facts) {
		c.t.Fatalf("%d of %d facts were taken: %+v", len(a.Acks), len(facts), a.Refused)
	}
	return facts
}

// openCalendar opens a calendar and returns its token.
func (c *client) openCalendar() string {
	c.t.Helper()
	var random [10]byte
	c.author.Random(random[:])
	token := journal.NewCode(random)
	canonical, err := journal.ParseCode(token)
	if err != nil {
		c.t.Fatal(err)
	}
	sum := sha256.Sum256([]byte(canonical))
	c.write(draft(journal.HouseScope, c.author.NewID(), journal.KindCalendarOpened, journal.CalendarOpened{Name: "tablet", Hash: hex.EncodeToString(sum[:])}))
	return token
}

func draft(scope journal.Scope, subject journal.ID, kind string, body any) journal.Draft {
	text, _ := json.Marshal(body) // of plain values
	return journal.Draft{Scope: scope, Subject: subject, Kind: kind, Body: text}
}

// sharedBatch is a batch that was started and shared, with one bag that has a photo, its label's code and typed id,
// and the code with which a helper joins.
type sharedBatch struct {
	id, secret, bag       journal.ID
	code, typed, joinCode string
}

func (c *client) startSharedBatch(hash string) sharedBatch {
	c.t.Helper()
	var random [10]byte
	c.author.Random(random[:])
	s := sharedBatch{id: c.author.NewID(), secret: c.author.NewID(), bag: c.author.NewID(), joinCode: journal.NewCode(random)}
	canonical, err := journal.ParseCode(s.joinCode)
	if err != nil {
		c.t.Fatal(err)
	}
	sum := sha256.Sum256([]byte(canonical))
	scope, piece, colour := journal.BatchScope(s.id), c.author.NewID(), c.author.NewID()
	c.write(
		draft(scope, s.id, journal.KindBatchStarted, map[string]any{"name": "invented", "secret": s.secret}),
		draft(scope, piece, journal.KindPieceAdded, map[string]any{"kind": "tee", "count": 1, "grams": 145}),
		draft(scope, s.bag, journal.KindBagClosed, map[string]any{"number": 1, "pieces": []any{map[string]any{"piece": piece, "count": 1}}, "colours": []any{map[string]any{"colour": colour}}}),
		draft(scope, piece, journal.KindPiecePhotographed, map[string]any{"sha256": hash}),
		draft(scope, s.id, journal.KindShareOpened, map[string]any{"hash": hex.EncodeToString(sum[:])}),
	)
	token := label.MakeToken(s.secret.Bytes(), s.bag.Bytes())
	s.typed = token.ID()
	s.code, err = label.Encode(label.Label{Number: 1, Token: token, IsBlank: true})
	if err != nil {
		c.t.Fatal(err)
	}
	return s
}

// Every address of the real program, as everyone who may ask. The table is the one
// that package web is tested with.
func TestAccessOfTheProgram(t *testing.T) {
	table, err := os.ReadFile("../../internal/web/testdata/access.txt")
	if err != nil {
		t.Fatal(err)
	}
	columns := strings.Fields("stranger label other helper owner computer out")
	rowCount := 0
	for n, asker := range columns {
		p := mustRunOnNetwork(t) // a house each, so that nobody's guesses count for another
		computer := newClient(t, p)
		computer.base, computer.http = p.URL(), http.Client{}
		invite := func() string {
			var i api.Invitation
			computer.mustCall("POST", "/api/v1/invite", struct{}{}, &i)
			return i.Digits
		}
		photo := append([]byte("\xff\xd8\xff\xc0\x00\x0b\x08\x00\x08\x00\x08"), make([]byte, 200)...)
		sum := sha256.Sum256(photo)
		hash := hex.EncodeToString(sum[:])
		owner := newClient(t, p)
		owner.pair(invite())
		one, two := owner.startSharedBatch(hash), owner.startSharedBatch(strings.Repeat("0", 64))
		who := newClient(t, p)
		switch asker {
		case "stranger", "label":
		case "other":
			who.pair(two.joinCode)
		case "helper":
			who.pair(one.joinCode)
		case "owner":
			who.pair(invite())
		case "computer":
			who = computer
		case "out":
			who.pair(invite())
			owner.write(draft(journal.HouseScope, who.author.Device, journal.KindDeviceRevoked, struct{}{}))
		}
		fill := strings.NewReplacer("{file}", "joining.css", "{code}", one.code, "{typed}", one.typed, "{sha256}", hash,
			"{device}", string(owner.author.Device), "{name}", "bottle", "{calendar}", owner.openCalendar()+".ics")
		for line := range strings.Lines(string(table)) {
			words := strings.Fields(line)
			if len(words) != 2+len(columns) || words[0] == "#" {
				continue
			}
			rowCount++
			method, path, want := words[0], fill.Replace(words[1]), words[2+n]
			var body []byte
			switch words[1] {
			case "/api/v1/exchange", "/api/v1/join":
				body, _ = json.Marshal(exchange.Request{Device: who.author.Device})
			case "/api/v1/photo/{sha256}":
				body = photo
			case "/api/v1/sheet":
				path += "?batch=" + string(one.id)
			}
			got := "open"
			if status := who.request(method, path, body, nil); status == 401 || status == 403 || status == 421 || status == 429 {
				got = strconv.Itoa(status)
			}
			if got != want {
				t.Errorf("%s %s as %s: %s, want %s", method, words[1], asker, got, want)
			}
		}
	}
	if want := len(columns) * (len(web.Routes()) + 1); rowCount != want { // the bag has two rows
		t.Errorf("%d rows were walked, want %d", rowCount, want)
	}
}

// Only the computer that the example runs on has access to it.
func TestExampleRefusesPhones(t *testing.T) {
	p := &Program{Data: t.TempDir(), AnyPort: true, Zone: "Europe/Lisbon", Example: true, Log: log.New(io.Discard, "", 0)}
	if err := p.Run(); err != nil {
		t.Fatal(err)
	}
	defer p.Close()
	stranger := newClient(t, p)
	if got := stranger.request("POST", "/api/v1/exchange", []byte(`{}`), nil); got != http.StatusUnauthorized {
		t.Errorf("a stranger's exchange with the example gave %d", got)
	}
}
