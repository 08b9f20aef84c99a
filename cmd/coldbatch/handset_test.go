//go:build unix

package main

import (
	"bufio"
	"bytes"
	"context"
	"crypto/tls"
	"crypto/x509"
	"encoding/json"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/cookiejar"
	"os"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"coldbatch/internal/api"
	"coldbatch/internal/exchange"
	"coldbatch/internal/hubtest"
	"coldbatch/internal/journal"
)

// handset speaks to a house over the network as the app does, without its screens:
// paired by digits, with one connection, asking what the hub is before each
// exchange, and listening for hints. It keeps nothing that it is told.
type handset struct {
	device journal.ID
	base   string
	http   http.Client

	mu           sync.Mutex
	cursor       *exchange.Cursor
	lease        []journal.ID // batches it closes bags of
	waitingFacts [][]byte     // what the hub lacks
	wake         chan struct{}
}

// handsetAnswer is what a handset reads of an answer: facts stay as they are.
type handsetAnswer struct {
	Acks    []journal.ID       `json:"acks"`
	Refused []exchange.Refusal `json:"refused"`
	Facts   []json.RawMessage  `json:"facts"`
	Cursor  *exchange.Cursor   `json:"cursor"`
	More    bool               `json:"more"`
}

// newHandset gives a phone that trusts the house's authority.
func newHandset(tb testing.TB, h *hubtest.Hub) *handset {
	tb.Helper()
	pem, err := os.ReadFile(h.AuthorityFile())
	if err != nil {
		tb.Fatal(err)
	}
	roots := x509.NewCertPool()
	if !roots.AppendCertsFromPEM(pem) {
		tb.Fatal("the authority does not read")
	}
	jar, err := cookiejar.New(nil)
	if err != nil {
		tb.Fatal(err)
	}
	at := fmt.Sprintf("127.0.0.1:%d", h.HTTPS)
	var random [16]byte
	system().Random(random[:])
	return &handset{device: journal.NewID(random), base: h.AppURL(), wake: make(chan struct{}, 1), http: http.Client{Jar: jar, Transport: &http.Transport{
		ForceAttemptHTTP2: true, // as browsers do
		TLSClientConfig:   &tls.Config{RootCAs: roots},
		DialContext: func(ctx context.Context, network, _ string) (net.Conn, error) {
			return (&net.Dialer{}).DialContext(ctx, network, at)
		},
	}}}
}

// ask makes a call and reads the answer into v. took is how long the phone waited.
func (p *handset) ask(method, path string, body []byte, v any) (took time.Duration, err error) {
	r, err := http.NewRequest(method, p.base+path, bytes.NewReader(body))
	if err != nil {
		return 0, err
	}
	start := time.Now()
	resp, err := p.http.Do(r)
	if err != nil {
		return 0, err
	}
	defer resp.Body.Close()
	text, err := io.ReadAll(resp.Body)
	took = time.Since(start)
	if err != nil || resp.StatusCode != http.StatusOK {
		return took, fmt.Errorf("%s %s: %s %s %v", method, path, resp.Status, text, err)
	}
	return took, json.Unmarshal(text, v)
}

// pair lets the phone in.
func (p *handset) pair(digits string) error {
	body, err := json.Marshal(api.PairRequest{Device: p.device, Name: "invented phone", Code: digits})
	if err != nil {
		return err
	}
	var got api.Paired
	_, err = p.ask("POST", "/api/v1/pair", body, &got)
	return err
}

// exchange makes one call, and gives how many facts it brought and how long it took.
func (p *handset) exchange() (more bool, brought int, took time.Duration, err error) {
	p.mu.Lock()
	facts := p.waitingFacts[:min(len(p.waitingFacts), exchange.MaxFacts)]
	body, err := json.Marshal(exchange.Request{Device: p.device, Cursor: p.cursor, Lease: p.lease})
	p.mu.Unlock()
	if err != nil {
		return false, 0, 0, err
	}
	// What is sent is each fact's own text.
	body = bytes.Replace(body, []byte(`"facts":null`), slices.Concat([]byte(`"facts":[`), bytes.Join(facts, []byte(",")), []byte("]")), 1)
	var a handsetAnswer
	took, err = p.ask("POST", "/api/v1/exchange", body, &a)
	switch {
	case err != nil:
		return false, 0, 0, err
	case len(a.Acks) != len(facts):
		return false, 0, 0, fmt.Errorf("%d of %d facts were acknowledged: %+v", len(a.Acks), len(facts), a.Refused)
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	p.cursor, p.waitingFacts = a.Cursor, p.waitingFacts[len(facts):]
	return a.More || len(p.waitingFacts) > 0, len(facts), took, nil
}

// exchangeAll is all the app does when it meets the hub: it asks who that is, then pushes
// and pulls until neither side has more. It gives the times of the calls that
// brought facts.
func (p *handset) exchangeAll() (pushes []time.Duration, err error) {
	var about json.RawMessage
	if _, err := p.ask("GET", "/api/v1/about", nil, &about); err != nil {
		return nil, err
	}
	for more := true; more; {
		var brought int
		var took time.Duration
		if more, brought, took, err = p.exchange(); err != nil {
			return nil, err
		}
		if brought > 0 {
			pushes = append(pushes, took)
		}
	}
	return pushes, nil
}

// record is what a person enters: it goes to the hub soon.
func (p *handset) record(f journal.Fact) {
	p.mu.Lock()
	p.waitingFacts = append(p.waitingFacts, f.Text())
	p.mu.Unlock()
	p.hint()
}

func (p *handset) hint() {
	select {
	case p.wake <- struct{}{}:
	default:
	}
}

// position gives how far the phone has read, and whether it has something to give.
func (p *handset) position() (seq uint64, waits bool) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.cursor != nil {
		seq = p.cursor.Seq
	}
	return seq, len(p.waitingFacts) > 0
}

// debounce is how long the app waits after a hint or an entry: static/sync/sync-loop.js.
const debounce = 300 * time.Millisecond

// listenForEvents acts like an open app until ctx is cancelled: it exchanges a moment after
// an event or a new entry. It calls done after each round.
func (p *handset) listenForEvents(ctx context.Context, done func(pushes []time.Duration, err error)) {
	for {
		select {
		case <-ctx.Done():
			return
		case <-p.wake:
		}
		select {
		case <-ctx.Done():
			return
		case <-time.After(debounce):
		}
		select {
		case <-p.wake: // it came within the same moment
		default:
		}
		done(p.exchangeAll())
	}
}

// listen holds the stream of hints open until ctx ends. opened is called when the
// hub has said its first word.
func (p *handset) listen(ctx context.Context, opened func()) error {
	r, err := http.NewRequestWithContext(ctx, "GET", p.base+"/api/v1/events", nil)
	if err != nil {
		return err
	}
	resp, err := p.http.Do(r)
	if err != nil {
		return err
	}
	defer resp.Body.Close()
	if resp.StatusCode != http.StatusOK {
		return fmt.Errorf("the stream of hints: %s", resp.Status)
	}
	lines := bufio.NewScanner(resp.Body)
	for lines.Scan() {
		switch {
		case strings.HasPrefix(lines.Text(), ": open"):
			opened()
		case lines.Text() == "event: changed":
			p.hint()
		}
	}
	if ctx.Err() != nil {
		return nil
	}
	return fmt.Errorf("the stream of hints ended: %v", lines.Err())
}

// startPhones returns n paired phones that are up to date and listen for events. They stop
// when ctx is cancelled; wait waits for that.
func startPhones(tb testing.TB, h *hubtest.Hub, ctx context.Context, n int, lease []journal.ID, pushed func(time.Duration)) (crowd []*handset, wait func()) {
	tb.Helper()
	var all, opened sync.WaitGroup
	fails := func(err error) {
		if err != nil && ctx.Err() == nil {
			tb.Error(err)
		}
	}
	for range n {
		p := newHandset(tb, h)
		if err := p.pair(h.Invite()); err != nil {
			tb.Fatal(err)
		}
		p.lease = lease
		crowd = append(crowd, p)
	}
	// What the first has read the others need not read to stand where it stands.
	if _, err := crowd[0].exchangeAll(); err != nil {
		tb.Fatal(err)
	}
	for _, p := range crowd {
		p.cursor = crowd[0].cursor
		opened.Add(1)
		all.Go(func() {
			p.listenForEvents(ctx, func(pushes []time.Duration, err error) {
				fails(err)
				for _, d := range pushes {
					pushed(d)
				}
			})
		})
		all.Go(func() {
			once := sync.OnceFunc(opened.Done)
			fails(p.listen(ctx, once))
			once()
			p.http.CloseIdleConnections()
		})
	}
	opened.Wait()
	return crowd, all.Wait
}

// waitUntilSynced waits until all phones have read equally far and none has anything to
// send.
func waitUntilSynced(tb testing.TB, crowd []*handset) {
	tb.Helper()
	for end := time.Now().Add(30 * time.Second); time.Now().Before(end); time.Sleep(10 * time.Millisecond) {
		first, _ := crowd[0].position()
		same := true
		for _, p := range crowd {
			seq, waits := p.position()
			same = same && seq == first && !waits
		}
		if same {
			return
		}
	}
	tb.Fatal("in 30 s the phones did not come in step")
}
