package hub

import (
	"encoding/json"
	"errors"
	"fmt"
	"testing"

	"coldbatch/internal/api"
	"coldbatch/internal/batch"
	"coldbatch/internal/batchview"
	"coldbatch/internal/exchange"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

func TestIdentityIsFixed(t *testing.T) {
	h := newTestHub(t)
	first := h.Identity
	if !first.ID.Valid() || first.Name != "coldbatch" || first.Host != "coldbatch.local" || first.HTTPPort != 8090 || first.HTTPSPort != 8443 || first.Zone != "Europe/Lisbon" {
		t.Errorf("first run fixed %+v", first)
	}
	for _, row := range []struct {
		why  string
		wish api.Identity
		code fault.Code
	}{
		{"nothing wished", api.Identity{}, ""},
		{"the same port", api.Identity{HTTPPort: 8090}, ""},
		{"another port: phones and labels know it by the first", api.Identity{HTTPPort: 8091}, fault.Conflict},
		{"another https port: labels name it", api.Identity{HTTPSPort: 443}, fault.Conflict},
		{"the same https port and name", api.Identity{HTTPSPort: 8443, Host: "coldbatch.local"}, ""},
		{"another name: phones have their journal under the first", api.Identity{Host: "dyeing.local"}, fault.Conflict},
		{"the machine was carried to another zone: the hub's stays", api.Identity{Zone: "America/New_York"}, ""},
	} {
		again, err := Open(h.memoryJournal, row.wish, h.system)
		if row.code != "" {
			if wantFault(t, err, row.code); fault.AsFault(err).Hint == "" {
				t.Errorf("%s: no hint", row.why)
			}
			continue
		}
		if err != nil || again.Identity != first {
			t.Errorf("%s: %+v %v", row.why, again, err)
		}
	}
	h.meta[identityKey] = []byte("{")
	_, err := Open(h.memoryJournal, api.Identity{}, h.system)
	wantFault(t, err, fault.Damaged)
}

// unreadableJournal is a journal on a disk that does not answer.
type unreadableJournal struct{ *memoryJournal }

var errDisk = errors.New("input/output error")

func (unreadableJournal) View(func(Tx) error) error { return errDisk }

// A journal that cannot be read is no first run: another identity would make every phone
// and every label a stranger.
func TestJournalThatCannotBeReadIsNoFirstRun(t *testing.T) {
	h := newTestHub(t)
	before, updates := string(h.meta[identityKey]), h.updates
	if _, err := Open(unreadableJournal{h.memoryJournal}, api.Identity{}, h.system); !errors.Is(err, errDisk) {
		t.Errorf("opened: %v", err)
	}
	if string(h.meta[identityKey]) != before || h.updates != updates {
		t.Error("another identity was written")
	}
}

func TestFirstRunWithChosenIdentity(t *testing.T) {
	d := repeatableRandom(7)
	wish := api.Identity{Host: "dyeing.local", HTTPPort: 8000, HTTPSPort: 8001, Zone: "Europe/Lisbon"}
	h, err := Open(newMemoryJournal(), wish, System{func() zone.Instant { return noon }, d.fill})
	if err != nil || h.Host != wish.Host || h.HTTPPort != wish.HTTPPort || h.HTTPSPort != wish.HTTPSPort {
		t.Fatalf("%+v %v", h, err)
	}
	if i, err := h.Invite(ctx, h.LocalAsker()); err != nil || i.Address != "HTTPS://DYEING.LOCAL:8001/JOIN/"+i.Code {
		t.Errorf("%+v %v", i, err)
	}
}

func TestJoin(t *testing.T) {
	h := newTestHub(t)
	first := h.newID()
	for range 2 { // a phone that joins again keeps its letter
		j, err := h.RegisterPhone(ctx, h.LocalAsker(), api.JoinRequest{Device: first, Name: "kitchen phone"})
		if err != nil || j.Letter != "A" || j.Hub != h.Identity {
			t.Fatalf("%+v %v", j, err)
		}
	}
	if len(h.facts) != 1 || h.facts[0].Device != h.ID || h.facts[0].Subject != first {
		t.Errorf("joining wrote %d facts, %s", len(h.facts), h.facts[0].Text())
	}
	for _, want := range journal.Letters[1:] {
		if j, err := h.RegisterPhone(ctx, h.LocalAsker(), api.JoinRequest{Device: h.newID()}); err != nil || j.Letter != string(want) {
			t.Fatalf("%+v %v, want %c", j, err, want)
		}
	}
	for range 2 {
		if j, err := h.RegisterPhone(ctx, h.LocalAsker(), api.JoinRequest{Device: h.newID()}); err != nil || j.Letter != "" {
			t.Fatalf("when all letters are taken: %+v %v", j, err)
		}
	}
	_, err := h.RegisterPhone(ctx, h.LocalAsker(), api.JoinRequest{Device: "x"})
	wantFault(t, err, fault.Input)
}

func TestLease(t *testing.T) {
	h := newTestHub(t)
	one, two := h.newPhone(), h.newPhone()
	draft, id := h.startDraft("market")
	one.write(t, draft)
	leases := func() (all []journal.NumbersLeased) { return journal.NumbersFromFacts(h.facts).Leases }
	one.syncWith(t, h.Hub, id)
	if got := leases(); len(got) != 0 {
		t.Fatalf("a phone that had read nothing was leased %+v", got)
	}
	one.syncWith(t, h.Hub, id)
	two.syncWith(t, h.Hub)
	two.syncWith(t, h.Hub, id)
	want := []journal.NumbersLeased{{Device: one.Device, FirstNumber: 1, LastNumber: 20}, {Device: two.Device, FirstNumber: 21, LastNumber: 40}}
	if got := leases(); len(got) != 2 || got[0] != want[0] || got[1] != want[1] {
		t.Fatalf("leased %+v", got)
	}
	updates := h.updates
	one.syncWith(t, h.Hub, id, h.newID(), "nonsense")
	if h.updates != updates || len(leases()) != 2 {
		t.Errorf("enough numbers, or no such batch, wrote something: %+v", leases())
	}
	for n := 1; n <= journal.LeaseSize-minNumbersLeft+1; n++ {
		one.closeBag(t, h, id, n)
	}
	one.syncWith(t, h.Hub, id) // its bags come with the same call
	if got := leases(); len(got) != 3 || got[2] != (journal.NumbersLeased{Device: one.Device, FirstNumber: 41, LastNumber: 60}) {
		t.Errorf("with 4 left: %+v", got)
	}
}

// A phone that is to print blanks gets as many numbers as it needs for them, and no
// more than are printed at a time.
func TestLeaseForBlanks(t *testing.T) {
	h := newTestHub(t)
	p := h.newPhone()
	draft, id := h.startDraft("market")
	p.write(t, draft)
	p.syncWith(t, h.Hub)
	p.syncWith(t, h.Hub, id)
	for _, row := range []struct {
		why            string
		need, from, to int // of the block that comes; 0 none
	}{
		{"as many as there are", 20, 0, 0}, {"one more comes as a block", 21, 21, 40}, {"many more than a block", 96, 41, 96},
		{"more than are printed at a time", 5000, 97, batch.MaxBlanks}, {"nonsense", -7, 0, 0},
	} {
		before := len(journal.NumbersFromFacts(h.facts).Leases)
		if _, err := h.Exchange(ctx, h.LocalAsker(), exchange.Request{Device: p.Device, Cursor: p.cursor, Lease: []journal.ID{id}, WantedNumbers: map[journal.ID]int{id: row.need}}); err != nil {
			t.Fatal(err)
		}
		got := journal.NumbersFromFacts(h.facts).Leases[before:]
		if row.from == 0 && len(got) != 0 || row.from != 0 && (len(got) != 1 || got[0] != journal.NumbersLeased{Device: p.Device, FirstNumber: row.from, LastNumber: row.to}) {
			t.Errorf("%s: %+v", row.why, got)
		}
	}
}

// The stamps of the hub's own facts come after all it has seen, a wrong clock's
// too, and across a new start. (One that is more than a day off waits in quarantine.)
func TestHubStampsComeAfter(t *testing.T) {
	h := newTestHub(t)
	p := h.newPhone()
	p.Now = p.Now.Add(zone.Day)
	draft, id := h.startDraft("market")
	p.write(t, draft)
	p.syncWith(t, h.Hub)
	h.open(t)
	p.syncWith(t, h.Hub, id)
	if !h.facts[0].Stamp.Less(h.facts[1].Stamp) || h.facts[1].At != noon {
		t.Errorf("the lease %s is not after %s", h.facts[1].Text(), h.facts[0].Text())
	}
}

// closeBag closes a bag of one pillowcase in one colour.
func (p *testPhone) closeBag(t testing.TB, h *testHub, batch journal.ID, number int) journal.ID {
	t.Helper()
	scope := journal.BatchScope(batch)
	piece, colour, bag := h.newID(), h.newID(), h.newID()
	p.write(t,
		journal.Draft{Scope: scope, Subject: piece, Kind: journal.KindPieceAdded, Body: json.RawMessage(`{"kind":"pillowcase","count":1,"grams":145}`)},
		journal.Draft{Scope: scope, Subject: colour, Kind: journal.KindColourChosen, Body: json.RawMessage(`{"name":"rust","caps":"RU","rgb":"#b5532a","class":"dichlorotriazine","strength":20,"depth":1}`)},
		journal.Draft{Scope: scope, Subject: bag, Kind: journal.KindBagClosed, Body: json.RawMessage(fmt.Sprintf(
			`{"number":%d,"pieces":[{"piece":%q,"count":1}],"colours":[{"colour":%q,"share":1}],"celsius":21}`, number, piece, colour))},
	)
	return bag
}

func TestBag(t *testing.T) {
	h := newTestHub(t)
	p := h.newPhone()
	draft, id := h.startDraft("market")
	p.write(t, draft)
	p.closeBag(t, h, id, 7)
	bag := p.closeBag(t, h, id, 8)
	p.syncWith(t, h.Hub)
	s, err := readState(memoryTx{h.memoryJournal, false}, id, h.now)
	if err != nil {
		t.Fatal(err)
	}
	h.now = h.now.Add(6 * zone.Hour)
	e := batchview.ViewEnv{Now: h.now, Host: "coldbatch.local:8443"}
	tag, err := batchview.ViewBag(s, bag, e)
	if err != nil || tag.Code == "" {
		t.Fatalf("%+v %v", tag, err)
	}
	for _, code := range []string{tag.Code, tag.Address, tag.TypedID} {
		v, err := h.ViewBag(ctx, h.LocalAsker(), code)
		if err != nil || v.ID != bag || v.Number != "8" {
			t.Errorf("%s: %+v %v", code, v, err)
		}
	}
	if len(h.cache[stateKey(id)]) == 0 {
		t.Error("the state was not cached")
	}
	// What is cached shows the next fact too.
	p.write(t, journal.Draft{Scope: journal.BatchScope(id), Subject: bag, Kind: journal.KindBagOpened, Body: json.RawMessage(`{}`)})
	p.syncWith(t, h.Hub)
	if v, err := h.ViewBag(ctx, h.LocalAsker(), tag.Code); err != nil || v.Stage != "opened" {
		t.Errorf("after it was opened: %+v %v", v, err)
	}
	// A cache of another version is not used.
	h.cache[stateKey(id)] = []byte(`{"version":0}`)
	if v, err := h.ViewBag(ctx, h.LocalAsker(), tag.TypedID); err != nil || v.Number != "8" {
		t.Errorf("with a cache of another version: %+v %v", v, err)
	}
	_, err = h.ViewBag(ctx, h.LocalAsker(), "bananas")
	wantFault(t, err, fault.Input)
	other := newTestHub(t)
	_, err = other.ViewBag(ctx, other.LocalAsker(), tag.Code)
	wantFault(t, err, fault.NotFound)
}

func TestAbout(t *testing.T) {
	h := newTestHub(t)
	a, err := h.About(ctx, h.LocalAsker(), "1.2.3")
	if err != nil || a.Version != "1.2.3" || a.StateVersion != batch.StateVersion || a.Now != noon || a.Example {
		t.Fatalf("%+v %v", a, err)
	}
	// Lisbon changes twice a year; summer time is +1 h.
	if n := len(a.Zone.Changes); n < 16 || a.Zone.Offset(noon) != 3600 {
		t.Errorf("%d changes, offset %d", n, a.Zone.Offset(noon))
	}
}

func TestSubscribe(t *testing.T) {
	h := newTestHub(t)
	p := h.newPhone()
	seq, stop := h.Subscribe()
	gone, leave := h.Subscribe()
	leave()
	for range 3 { // hints that are not read make way for later ones
		p.write(t, h.newReadingDraft("20"))
		p.syncWith(t, h.Hub)
	}
	if got := <-seq; got != 3 {
		t.Errorf("hinted %d, want 3", got)
	}
	p.syncWith(t, h.Hub)
	select {
	case got := <-seq:
		t.Errorf("hinted %d though nothing changed", got)
	case <-gone:
		t.Error("a hint after the end of the subscription")
	default:
	}
	h.Close()
	if _, open := <-seq; open {
		t.Error("the channel outlives the hub")
	}
	stop()
	late, _ := h.Subscribe()
	if _, open := <-late; open {
		t.Error("a subscription to a closed hub is open")
	}
}
