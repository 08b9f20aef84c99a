package main

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"coldbatch/internal/api"
	"coldbatch/internal/batch"
	"coldbatch/internal/batchview"
	"coldbatch/internal/exchange"
	"coldbatch/internal/fault"
	"coldbatch/internal/hub"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
	"coldbatch/internal/zone"
)

// callProgramAPI makes a request to a running program and reads the answer into v.
func callProgramAPI(t *testing.T, p *Program, method, path string, body, v any) int {
	t.Helper()
	text, err := json.Marshal(body)
	if err != nil {
		t.Fatal(err)
	}
	r, err := http.NewRequestWithContext(t.Context(), method, p.URL()+path, bytes.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	resp, err := http.DefaultClient.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer resp.Body.Close()
	got, err := io.ReadAll(resp.Body)
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(got, v); err != nil {
		t.Fatalf("%s %s gave %d %q: %v", method, path, resp.StatusCode, got, err)
	}
	return resp.StatusCode
}

// exampleFacts returns the facts of the example that a phone may write.
func exampleFacts(t *testing.T) (facts []journal.Fact) {
	t.Helper()
	all, err := batchview.Example(machineSystem().Now(), "Europe/Lisbon", machineSystem().Random)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range all {
		if rights.CheckWrite(rights.Asker{Role: rights.Owner}, f) == nil {
			facts = append(facts, f)
		}
	}
	return facts
}

func exchangeFacts(t *testing.T, p *Program, facts []journal.Fact, lease ...journal.ID) exchange.Answer {
	t.Helper()
	q := exchange.Request{Device: facts[0].Device, Lease: lease}
	for _, f := range facts {
		q.Facts = append(q.Facts, f.Text())
	}
	var a exchange.Answer
	for range 2 { // numbers are leased to a phone that has read what there is
		a = exchange.Answer{}
		if status := callProgramAPI(t, p, "POST", "/api/v1/exchange", q, &a); status != 200 {
			t.Fatalf("the exchange gave %d", status)
		}
		if len(lease) == 0 {
			break
		}
		q.Cursor = a.Cursor
	}
	return a
}

// After a restart the facts of a phone are there, byte for byte, on the same port and with
// the same hub id.
func TestProgramStoresFacts(t *testing.T) {
	facts := exampleFacts(t)
	p := mustRunProgram(t, &Program{})
	a := exchangeFacts(t, p, facts)
	if len(a.Acks) != len(facts) || len(a.Refused) != 0 {
		t.Fatalf("%d of %d facts acknowledged, refused %+v", len(a.Acks), len(facts), a.Refused)
	}
	if err := p.Close(); err != nil {
		t.Fatal(err)
	}
	again := mustRunProgram(t, &Program{Data: p.Data})
	if again.Port != p.Port {
		t.Errorf("port %d, was %d", again.Port, p.Port)
	}
	// Another phone: one that sends a fact is not sent it back.
	q := exchange.Request{Device: journal.NewID([16]byte{1})}
	var b exchange.Answer
	callProgramAPI(t, again, "POST", "/api/v1/exchange", q, &b)
	if b.Hub != a.Hub || len(b.Facts) != len(facts) {
		t.Fatalf("hub %v with %d facts, was %v with %d", b.Hub, len(b.Facts), a.Hub, len(facts))
	}
	for i, f := range b.Facts {
		if string(f.Text()) != string(facts[i].Text()) {
			t.Errorf("fact %d came back as %s, was %s", i, f.Text(), facts[i].Text())
		}
	}
}

func TestProgramLeasesAndFindsBags(t *testing.T) {
	p := mustRunProgram(t, &Program{})
	facts := exampleFacts(t)
	var id journal.ID
	for _, f := range facts {
		if f.Kind == journal.KindBagClosed {
			id = f.Scope.Batch()
		}
	}
	a := exchangeFacts(t, p, facts, id)
	leased := false
	for _, f := range a.Facts {
		leased = leased || f.Kind == journal.KindNumbersLeased && f.Scope == journal.BatchScope(id)
	}
	if !leased {
		t.Errorf("no block of numbers came with the answer: %d facts", len(a.Facts))
	}
	var ofBatch []journal.Fact
	for _, f := range facts {
		if f.Scope == journal.BatchScope(id) {
			ofBatch = append(ofBatch, f)
		}
	}
	s := batch.Build(ofBatch)
	tag, err := batchview.ViewBag(s, s.Bags[0].ID, batchview.ViewEnv{Now: machineSystem().Now(), Host: "coldbatch.local:8443"})
	if err != nil {
		t.Fatal(err)
	}
	var v batchview.BagView
	for _, code := range []string{tag.Code, strings.ToLower(tag.Code), tag.TypedID} {
		if status := callProgramAPI(t, p, "GET", "/api/v1/bag/"+code, nil, &v); status != 200 || v.ID != s.Bags[0].ID {
			t.Errorf("%s gave %d and bag %q", code, status, v.ID)
		}
	}
}

// The example's labels can be printed, and nothing is recorded of that; its bags get no
// numbered blanks.
func TestLabelsOfTheExample(t *testing.T) {
	p := mustRunProgram(t, &Program{Example: true})
	out := filepath.Join(t.TempDir(), "labels.pdf")
	if code, said, errs := runCommand(t, p.Data, "label", "spring market", "--out", out); code != 0 || !strings.Contains(said, "4 labels in") {
		t.Errorf("%d %s %s", code, said, errs)
	}
	if code, _, errs := runCommand(t, p.Data, "blanks", "spring market", "--out", out); code != 1 || !strings.Contains(errs, "this is the example") {
		t.Errorf("blanks: %d %s", code, errs)
	}
}

// The stream hints at what another phone brings, and ends when the example does.
func TestProgramEvents(t *testing.T) {
	p := mustRunProgram(t, &Program{Example: true})
	listen := func() (lines <-chan string) {
		ctx, cancel := context.WithTimeout(t.Context(), 20*time.Second)
		t.Cleanup(cancel)
		r, err := http.NewRequestWithContext(ctx, "GET", p.URL()+"/api/v1/events", nil)
		if err != nil {
			t.Fatal(err)
		}
		resp, err := http.DefaultClient.Do(r)
		if err != nil {
			t.Fatal(err)
		}
		out := make(chan string, 10)
		go func() {
			defer close(out)
			defer resp.Body.Close()
			b := make([]byte, 1000)
			for {
				n, err := resp.Body.Read(b)
				if n > 0 {
					out <- string(b[:n])
				}
				if err != nil {
					return
				}
			}
		}()
		return out
	}
	lines := listen()
	<-lines // it is open
	var gone struct{}
	if status := callProgramAPI(t, p, "DELETE", "/api/v1/example", nil, &gone); status != 200 {
		t.Errorf("leaving the example gave %d", status)
	}
	select {
	case text, open := <-lines:
		if open {
			t.Errorf("heard %q", text)
		}
	case <-time.After(5 * time.Second):
		t.Error("the stream outlives the example")
	}
	lines = listen()
	<-lines
	exchangeFacts(t, p, exampleFacts(t))
	select {
	case text := <-lines:
		if !strings.Contains(text, "event: changed\ndata: ") {
			t.Errorf("heard %q", text)
		}
	case <-time.After(5 * time.Second):
		t.Error("no hint")
	}
	// An open stream must not hold up the end.
	began := time.Now()
	if err := p.Close(); err != nil {
		t.Error(err)
	}
	if took := time.Since(began); took > 2*time.Second {
		t.Errorf("closing took %v", took)
	}
}

// Commands work for a folder so deep that a socket path in it would be too long.
func TestProgramInDeepFolder(t *testing.T) {
	data := filepath.Join(t.TempDir(), strings.Repeat("deep/", 20), "data")
	p := mustRunProgram(t, &Program{Data: data})
	if len(socketPath(data)) > maxSocketPath || strings.HasPrefix(socketPath(data), data) {
		t.Errorf("socket %s", socketPath(data))
	}
	var out, errs bytes.Buffer
	c := command{ctx: t.Context(), out: &out, err: &errs, env: func(string) string { return "" }}
	if code := c.run([]string{"check", "--data", data}); code != 0 || !strings.Contains(out.String(), "is good") {
		t.Errorf("check gave %d %q %q", code, &out, &errs)
	}
	if err := p.Close(); err != nil {
		t.Error(err)
	}
}

// Two programs cannot use one folder, and the second one changes nothing in it.
func TestSecondProgramIsRefused(t *testing.T) {
	p := mustRunProgram(t, &Program{})
	second := &Program{Data: p.Data, AnyPort: true, Log: p.Log}
	if err := second.Run(); !fault.Is(err, fault.Locked) {
		t.Errorf("the second one got %v", err)
	}
	var about api.AboutAnswer
	if callProgramAPI(t, p, "GET", "/api/v1/about", nil, &about); about.Hub.HTTPPort != p.Port {
		t.Errorf("the first one answers %+v", about)
	}
}

func TestMachineZone(t *testing.T) {
	for _, row := range []struct{ why, tz, want string }{
		{"a zone", "America/New_York", "America/New_York"},
		{"with the colon POSIX allows", ":Asia/Kolkata", "Asia/Kolkata"},
	} {
		c := command{env: func(name string) string { return map[string]string{"TZ": row.tz}[name] }}
		if got := c.machineZone(); got != row.want {
			t.Errorf("%s: %q", row.why, got)
		}
	}
	// A rule is no name; the machine's own zone, or UTC, is taken.
	c := command{env: func(string) string { return "EST5EDT4,M3.2.0,M11.1.0" }}
	if _, err := hub.ZoneTable(c.machineZone(), 0, zone.Instant(0)); err != nil {
		t.Error(err)
	}
}

func TestDefaultDataFolder(t *testing.T) {
	if os.PathSeparator != '/' {
		t.Skip("the rows are of a system with slashes")
	}
	for _, row := range []struct {
		why  string
		env  map[string]string
		want string
	}{
		{"named", map[string]string{"COLDBATCH_DATA": "/data", "HOME": "/home/x"}, "/data"},
		{"a home", map[string]string{"HOME": "/home/x"}, "/home/x/.local/share/coldbatch"},
		{"a folder for data", map[string]string{"HOME": "/home/x", "XDG_DATA_HOME": "/d"}, "/d/coldbatch"},
		{"a relative one is to be ignored", map[string]string{"HOME": "/home/x", "XDG_DATA_HOME": "d"}, "/home/x/.local/share/coldbatch"},
		{"no home", nil, "coldbatch-data"},
	} {
		c := command{env: func(name string) string { return row.env[name] }}
		if got := c.dataFolder(); got != row.want {
			t.Errorf("%s: %q, want %q", row.why, got, row.want)
		}
	}
}
