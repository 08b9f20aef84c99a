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

// simulatedPhone speaks to a house over the network as the app does, without its screens:
// paired by digits, with one connection, asking what the hub is before each
// exchange, and listening for events. It stores none of the facts that it receives.
type simulatedPhone struct {
	device journal.ID
	base   string
	http   http.Client

	mu           sync.Mutex
	cursor       *exchange.Cursor
	lease        []journal.ID // batches it closes bags of
	waitingFacts [][]byte     // what the hub lacks
	wake         chan struct{}
}

// phoneAnswer is what a simulated phone reads of an answer: facts stay as they are.
type phoneAnswer struct {
	Acks    []journal.ID       `json:"acks"`
	Refused []exchange.Refusal `json:"refused"`
	Facts   []json.RawMessage  `json:"facts"`
	Cursor  *exchange.Cursor   `json:"cursor"`
	More    bool               `json:"more"`
}

// newSimulatedPhone returns a phone that trusts the house's authority.
func newSimulatedPhone(tb testing.TB, h *hubtest.Hub) *simulatedPhone {
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
	at := fmt.Sprintf("127.0.0.1:%d", h.HTTPSPort)
	var random [16]byte
	machineSystem().Random(random[:])
	return &simulatedPhone{device: journal.NewID(random), base: h.AppURL(), wake: make(chan struct{}, 1), http: http.Client{Jar: jar, Transport: &http.Transport{
		ForceAttemptHTTP2: true, // as browsers do
		TLSClientConfig:   &tls.Config{RootCAs: roots},
		DialContext: func(ctx context.Context, network, _ string) (net.Conn, error) {
			return (&net.Dialer{}).DialContext(ctx, network, at)
		},
	}}}
}

// request makes a call and reads the answer into v. took is how long the phone waited.
func (p *simulatedPhone) request(method, path string, body []byte, v any) (took time.Duration, err error) {
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

// pair pairs the phone by digits.
func (p *simulatedPhone) pair(digits string) error {
	body, err := json.Marshal(api.PairRequest{Device: p.device, Name: "invented phone", Code: digits})
	if err != nil {
		return err
	}
	var got api.PairAnswer
	_, err = p.request("POST", "/api/v1/pair", body, &got)
	return err
}

// exchange makes one call, and returns how many facts it brought and how long it took.
func (p *simulatedPhone) exchange() (more bool, sentFacts int, took time.Duration, err error) {
	p.mu.Lock()
	facts := p.waitingFacts[:min(len(p.waitingFacts), exchange.MaxFacts)]
	body, err := json.Marshal(exchange.Request{Device: p.device, Cursor: p.cursor, Lease: p.lease})
	p.mu.Unlock()
	if err != nil {
		return false, 0, 0, err
	}
	// What is sent is each fact's own text.
	body = bytes.Replace(body, []byte(`"facts":null`), slices.Concat([]byte(`"facts":[`), bytes.Join(facts, []byte(",")), []byte("]")), 1)
	var a phoneAnswer
	took, err = p.request("POST", "/api/v1/exchange", body, &a)
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
// and pulls until neither side has more. It returns the times of the calls that
// brought facts.
func (p *simulatedPhone) exchangeAll() (pushTimes []time.Duration, err error) {
	var about json.RawMessage
	if _, err := p.request("GET", "/api/v1/about", nil, &about); err != nil {
		return nil, err
	}
	for more := true; more; {
		var sentFacts int
		var took time.Duration
		if more, sentFacts, took, err = p.exchange(); err != nil {
			return nil, err
		}
		if sentFacts > 0 {
			pushTimes = append(pushTimes, took)
		}
	}
	return pushTimes, nil
}

// record is what a person enters: it goes to the hub soon.
func (p *simulatedPhone) record(f journal.Fact) {
	p.mu.Lock()
	p.waitingFacts = append(p.waitingFacts, f.Text())
	p.mu.Unlock()
	p.wakeUp()
}

func (p *simulatedPhone) wakeUp() {
	select {
	case p.wake <- struct{}{}:
	default:
	}
}

// syncPosition returns how far the phone has read, and whether it has something to give.
func (p *simulatedPhone) syncPosition() (seq uint64, waits bool) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.cursor != nil {
		seq = p.cursor.Seq
	}
	return seq, len(p.waitingFacts) > 0
}

// debounceTime says how long the app waits after an event or an entry: static/sync/sync-loop.js.
const debounceTime = 300 * time.Millisecond

// exchangeOnEvents acts like an open app until ctx is cancelled: it exchanges a moment after
// an event or a new entry. It calls done after each round.
func (p *simulatedPhone) exchangeOnEvents(ctx context.Context, done func(pushes []time.Duration, err error)) {
	for {
		select {
		case <-ctx.Done():
			return
		case <-p.wake:
		}
		select {
		case <-ctx.Done():
			return
		case <-time.After(debounceTime):
		}
		select {
		case <-p.wake: // it came within the same moment
		default:
		}
		done(p.exchangeAll())
	}
}

// listenToStream holds the stream of events open until ctx ends. It calls opened when the
// hub has sent its first line.
func (p *simulatedPhone) listenToStream(ctx context.Context, opened func()) error {
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
		return fmt.Errorf("the stream of events: %s", resp.Status)
	}
	lines := bufio.NewScanner(resp.Body)
	for lines.Scan() {
		switch {
		case strings.HasPrefix(lines.Text(), ": open"):
			opened()
		case lines.Text() == "event: changed":
			p.wakeUp()
		}
	}
	if ctx.Err() != nil {
		return nil
	}
	return fmt.Errorf("the stream of events ended: %v", lines.Err())
}

// startPhones returns n paired phones that are up to date and listen for events. They stop
// when ctx is cancelled; wait waits for that.
func startPhones(tb testing.TB, h *hubtest.Hub, ctx context.Context, n int, lease []journal.ID, pushed func(time.Duration)) (phones []*simulatedPhone, wait func()) {
	tb.Helper()
	var all, opened sync.WaitGroup
	fails := func(err error) {
		if err != nil && ctx.Err() == nil {
			tb.Error(err)
		}
	}
	for range n {
		p := newSimulatedPhone(tb, h)
		if err := p.pair(h.Invite()); err != nil {
			tb.Fatal(err)
		}
		p.lease = lease
		phones = append(phones, p)
	}
	// The others start where the first has read to, so they need not read all of it.
	if _, err := phones[0].exchangeAll(); err != nil {
		tb.Fatal(err)
	}
	for _, p := range phones {
		p.cursor = phones[0].cursor
		opened.Add(1)
		all.Go(func() {
			p.exchangeOnEvents(ctx, func(pushes []time.Duration, err error) {
				fails(err)
				for _, d := range pushes {
					pushed(d)
				}
			})
		})
		all.Go(func() {
			once := sync.OnceFunc(opened.Done)
			fails(p.listenToStream(ctx, once))
			once()
			p.http.CloseIdleConnections()
		})
	}
	opened.Wait()
	return phones, all.Wait
}

// waitUntilSynced waits until all phones have read equally far and none has anything to
// send.
func waitUntilSynced(tb testing.TB, phones []*simulatedPhone) {
	tb.Helper()
	for end := time.Now().Add(30 * time.Second); time.Now().Before(end); time.Sleep(10 * time.Millisecond) {
		first, _ := phones[0].syncPosition()
		same := true
		for _, p := range phones {
			seq, waits := p.syncPosition()
			same = same && seq == first && !waits
		}
		if same {
			return
		}
	}
	tb.Fatal("in 30 s the phones did not come in step")
}
