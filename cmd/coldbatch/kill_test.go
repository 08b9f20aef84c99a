//go:build unix

package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math/rand"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"coldbatch/internal/exchange"
	"coldbatch/internal/hubtest"
	"coldbatch/internal/journal"
	"coldbatch/internal/need"
	"coldbatch/internal/store"
)

// A phone that writes without end, and what of it the program said it has.
type writingPhone struct {
	author            journal.Author
	r                 *rand.Rand
	batch             journal.ID
	waitingFacts      []journal.Fact // written, not acknowledged
	acknowledgedFacts map[journal.ID]string
	client            http.Client
}

func newWritingPhone(seed int64) *writingPhone {
	p := &writingPhone{r: rand.New(rand.NewSource(seed)), acknowledgedFacts: map[journal.ID]string{}}
	p.author = journal.Author{TZ: "Europe/Lisbon", Random: func(b []byte) { p.r.Read(b) }}
	p.author.Device, p.batch = p.author.NewID(), p.author.NewID()
	return p
}

// write makes up to n facts that wait.
func (p *writingPhone) write(n int) error {
	p.author.Now = machineSystem().Now()
	var drafts []journal.Draft
	for range 1 + p.r.Intn(n) {
		drafts = append(drafts, journal.Draft{Scope: journal.BatchScope(p.batch), Subject: p.batch, Kind: journal.KindBatchChanged,
			Body: json.RawMessage(fmt.Sprintf(`{"note":"invented: apron %d, rust & <deep> yellow"}`, p.r.Int63()))})
	}
	facts, err := p.author.MakeFacts(drafts)
	p.waitingFacts = append(p.waitingFacts, facts...)
	return err
}

// send exchanges what waits, as much as one call takes.
func (p *writingPhone) send(url string) error {
	q := exchange.Request{Device: p.author.Device}
	for _, f := range p.waitingFacts[:min(len(p.waitingFacts), exchange.MaxFacts)] {
		q.Facts = append(q.Facts, f.Text())
	}
	var body bytes.Buffer
	e := json.NewEncoder(&body)
	e.SetEscapeHTML(false) // what is sent is the fact's own text
	if err := e.Encode(q); err != nil {
		return err
	}
	resp, err := p.client.Post(url+"/api/v1/exchange", "application/json", &body)
	if err != nil {
		return err
	}
	defer resp.Body.Close()
	var a exchange.Answer
	if err := json.NewDecoder(resp.Body).Decode(&a); err != nil {
		return err
	}
	if resp.StatusCode != http.StatusOK || len(a.Refused) > 0 {
		return fmt.Errorf("the exchange gave %s, refused %v", resp.Status, a.Refused)
	}
	acked := map[journal.ID]bool{}
	for _, id := range a.Acks {
		acked[id] = true
	}
	var waiting []journal.Fact
	for _, f := range p.waitingFacts {
		if acked[f.ID] {
			p.acknowledgedFacts[f.ID] = string(f.Text())
		} else {
			waiting = append(waiting, f)
		}
	}
	p.waitingFacts = waiting
	return nil
}

// kill -9 at any moment, also while it starts, loses nothing that was
// acknowledged.
func TestKilled(t *testing.T) {
	houses, kills := 1, 20
	switch {
	case os.Getenv("COLDBATCH_LONG") != "":
		houses, kills = 50, 200
	case need.IsCI():
		kills = 200
	}
	for seed := range int64(houses) {
		t.Run(fmt.Sprint("house ", seed), func(t *testing.T) {
			t.Parallel()
			killWhilePhonesWrite(t, seed, kills)
		})
	}
}

// killWhilePhonesWrite kills one program so many times while four phones write. What is
// there is compared at the end and after every tenth kill.
func killWhilePhonesWrite(t *testing.T, seed int64, kills int) {
	h := hubtest.Start(t)
	r := rand.New(rand.NewSource(seed))
	var phones []*writingPhone
	for n := range int64(4) {
		phones = append(phones, newWritingPhone(4*seed+n))
	}
	for kill := 1; kill <= kills; kill++ {
		var wg sync.WaitGroup
		for _, p := range phones {
			wg.Go(func() {
				for {
					if err := p.write(12); err != nil {
						t.Error(err)
						return
					}
					if p.send(h.URL()) != nil {
						return // the program is gone; what waits is sent when it is back
					}
				}
			})
		}
		time.Sleep(time.Duration(r.Intn(150_000)) * time.Microsecond)
		h.Stop()
		wg.Wait()
		if kill%4 == 0 {
			killDuringStart(t, h, time.Duration(r.Intn(40_000))*time.Microsecond)
		}
		h.Start()
		if kill%10 == 0 || kill == kills {
			checkAcknowledged(t, h, phones)
		}
	}
	h.Stop()
	report, err := store.Check(filepath.Join(h.Data, journalFile))
	if err != nil || len(report.Problems) > 0 {
		t.Errorf("check: %+v %v", report, err)
	}
	acknowledged := 0
	for _, p := range phones {
		acknowledged += len(p.acknowledgedFacts)
	}
	t.Logf("%d kills, %d facts acknowledged, %d there", kills, acknowledged, report.FactCount)
	if acknowledged < kills {
		t.Errorf("only %d facts were acknowledged: this shows nothing", acknowledged)
	}
}

// killDuringStart starts the program and kills it before it can have answered.
func killDuringStart(t *testing.T, h *hubtest.Hub, after time.Duration) {
	t.Helper()
	cmd := exec.Command(h.Path, h.Flags()...)
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	time.Sleep(after)
	_ = cmd.Process.Kill()
	_ = cmd.Wait()
}

// checkAcknowledged pulls everything and checks that each acknowledged fact is there.
func checkAcknowledged(t *testing.T, h *hubtest.Hub, phones []*writingPhone) {
	t.Helper()
	there := map[journal.ID]string{}
	for _, f := range h.Facts() {
		if _, twice := there[f.ID]; twice {
			t.Errorf("fact %s is there twice", f.ID)
		}
		there[f.ID] = string(f.Text())
	}
	for _, p := range phones {
		for id, text := range p.acknowledgedFacts {
			if there[id] != text {
				t.Fatalf("acknowledged was %s, there is %q", text, there[id])
			}
		}
	}
}
