package main

import (
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"coldbatch/internal/api"
	"coldbatch/internal/batch"
	"coldbatch/internal/batchview"
	"coldbatch/internal/exchange"
	"coldbatch/internal/hub"
	"coldbatch/internal/hubtest"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
	"coldbatch/internal/shelf"
	"coldbatch/internal/store"
	"coldbatch/internal/unit"
	"coldbatch/internal/zone"
)

// upgradedHub is a file of an earlier version, opened by this program.
type upgradedHub struct {
	*hub.Hub
	hubtest.Upgrade
	data  string
	store *store.Store
	now   zone.Instant
	ctx   context.Context
}

// openUpgrade opens a copy of the file, a day after its newest fact.
func openUpgrade(t *testing.T, u hubtest.Upgrade) *upgradedHub {
	t.Helper()
	h := &upgradedHub{Upgrade: u, data: u.Unpack(t), ctx: t.Context()}
	for _, f := range u.Facts {
		h.now = max(h.now, zone.Instant(f.Stamp.Milliseconds).Add(24*zone.Hour))
	}
	var err error
	h.store, err = store.Open(filepath.Join(h.data, journalFile), store.Options{OnDamage: nil})
	must(t, err)
	t.Cleanup(func() { h.store.Close() })
	system := machineSystem()
	system.Now = func() zone.Instant { return h.now }
	h.Hub, err = hub.Open(storeJournal{h.store}, api.Identity{}, system)
	must(t, err)
	return h
}

// A file of each earlier version is migrated when it is opened, and nothing of it is lost:
// every fact, byte for byte and in its order; who the hub is; who may do what; what waits
// for the owner; the photos; the authority that the phones trust.
func TestUpgradeKeepsEverything(t *testing.T) {
	for _, u := range hubtest.Upgrades(t) {
		t.Run(u.Name, func(t *testing.T) {
			h := openUpgrade(t, u)
			if r, err := h.store.Check(); err != nil || len(r.Problems) > 0 || r.FactCount != len(u.Facts) {
				t.Fatalf("check: %+v %v, not %d facts", r, err, len(u.Facts))
			}
			must(t, h.store.View(func(tx *store.Tx) error {
				return tx.Since(0, func(seq uint64, f journal.Fact) bool {
					if want := u.Facts[seq-1]; string(f.Text()) != string(want.Text()) || f.ID != want.ID {
						t.Errorf("fact %d is\n%s\nit was\n%s", seq, f.Text(), want.Text())
					}
					return true
				})
			}))
			if h.Identity.HTTPPort != u.House.Port || h.Identity.HTTPSPort != u.House.HTTPS || h.Identity.Host != "coldbatch.local" {
				t.Errorf("the hub is %+v", h.Identity)
			}

			// Phones are who they were, and read on where they had read to.
			for name, role := range map[string]rights.Role{"phone": rights.Owner, "helper": rights.Helper} {
				p := u.Phone(t, name)
				token, _, _ := strings.Cut(p.Cookie, ".")
				who, err := h.AskerByToken(h.ctx, token)
				if err != nil || who.Role != role {
					t.Errorf("the %s is %+v, %v", name, who, err)
					continue
				}
				q := exchange.Request{Device: who.Device, Cursor: &exchange.Cursor{}}
				p.Meta(t, "cursor", q.Cursor)
				a, err := h.Exchange(h.ctx, who, q)
				if err != nil || a.StartsOver || len(a.Facts) > 0 {
					t.Errorf("the %s begins anew: %+v %v", name, a, err)
				}
			}
			phones, err := h.Phones(h.ctx, h.LocalAsker())
			must(t, err)
			states := map[string]bool{}
			for _, p := range phones {
				states[p.Name] = p.IsRevoked
			}
			if revoked, known := states["lost phone"]; !known || !revoked || states["kitchen phone"] || states["porch phone"] || len(phones) != 3 {
				t.Errorf("the phones are %+v", phones)
			}
			waiting, err := h.Quarantined(h.ctx, h.LocalAsker(), u.House.Lost)
			if err != nil || len(waiting) != 1 {
				t.Errorf("of the lost phone %d entries wait: %v", len(waiting), err)
			}
			if n, err := h.Accept(h.ctx, h.LocalAsker(), u.House.Lost, 0); err != nil || n.Count != 1 {
				t.Errorf("accepted: %+v %v", n, err)
			}
			must(t, h.RecordReading(h.ctx, u.House.Sensor, 17.5))
			paired, err := h.Pair(h.ctx, rights.Asker{Role: rights.Stranger}, api.PairRequest{Device: journal.NewID([16]byte{7}), Name: "second helper", Code: u.House.Share})
			if err != nil || paired.Asker.Role != rights.Helper {
				t.Errorf("the share code: %+v %v", paired, err)
			}

			if n, problems, err := photosIn(h.data).Check(); err != nil || n != 1 || len(problems) > 0 {
				t.Errorf("%d photos, %v %v", n, problems, err)
			}
			want, err := os.ReadFile(filepath.Join(h.data, authorityFiles[1]))
			must(t, err)
			a, err := openAuthority(h.data, h.Identity.Host, false)
			if err != nil || string(a.PEM()) != string(want) {
				t.Errorf("the authority is another: %v", err)
			}
		})
	}
}

// Whatever an earlier version recorded is shown: every view of every batch answers, and
// knows every fact.
func TestUpgradeShowsEverything(t *testing.T) {
	for _, u := range hubtest.Upgrades(t) {
		t.Run(u.Name, func(t *testing.T) {
			h := openUpgrade(t, u)
			table, err := h.ZoneTable("Europe/Lisbon", h.now)
			must(t, err)
			e := batchview.ViewEnv{Now: h.now, Zone: table, Host: "coldbatch.local:8443", Device: u.Facts[0].Device, Places: map[journal.ID]batch.PlaceState{}}
			byScope := map[journal.Scope][]journal.Fact{}
			for _, f := range u.Facts {
				byScope[f.Scope] = append(byScope[f.Scope], f)
			}
			var states []batch.State
			for scope, facts := range byScope {
				if id := scope.Place(); id != "" {
					e.Places[id] = batch.BuildPlace(facts)
				} else if scope.Batch() != "" {
					states = append(states, batch.Build(facts))
				}
			}
			things := shelf.Build(byScope[journal.ShelfScope])
			v := viewer{t}
			bags, uses := 0, []shelf.BatchUses{}
			for _, s := range states {
				uses = append(uses, shelf.BatchUses{Batch: s.ID, Uses: s.Uses})
			}
			for _, s := range states {
				if s.UnknownFacts > 0 || s.NeedsNewerApp {
					t.Errorf("of %s, %d facts are unknown", s.Name, s.UnknownFacts)
				}
				v.see("batch", batchview.ViewBatch(s, e), nil)
				v.see("history", batchview.History(byScope[journal.BatchScope(s.ID)], e), nil)
				v.see("blanks", batchview.ViewBlanks(s, false, e), nil)
				v.see("tags", batchview.ViewBlanks(s, true, e), nil)
				v.see("plan", batchview.ViewPlan(s, things, uses, e), nil)
				v.see("compare", batchview.Compare(s, states[0], "", "", e), nil)
				v.see("bucket", batchview.BucketLabel(s, e), nil)
				for _, b := range s.Bags {
					bags++
					view, err := batchview.ViewBag(s, b.ID, e)
					v.see("bag", view, err)
					label, err := batchview.BagLabel(s, b.ID, e)
					v.see("label", label, err)
					result, err := batchview.ViewResult(s, b.ID, e)
					v.see("result", result, err)
					why, err := batchview.ExplainBag(s, b.ID, nil, e)
					v.see("why", why, err)
				}
				for _, c := range s.Colours {
					label, err := batchview.BottleLabel(s, c.ID, e)
					v.see("bottle", label, err)
				}
			}
			if len(states) < 3 || bags < 5 {
				t.Errorf("%d batches, %d bags", len(states), bags)
			}
			v.see("today", batchview.ViewToday(states, 1, e), nil)
			v.see("batches", batchview.ListBatches(states, e), nil)
			v.see("table", batchview.BagTable(states, e), nil)
			v.see("results", batchview.FindResults(states, nil, batchview.ResultQuery{}, e), nil)
			v.see("figures", batchview.OwnFigures(states, nil, e), nil)
			v.see("wash day", batchview.ViewWashDay(states, batchview.WashOrder{Tub: "20 L", Machine: "6 kg"}, e), nil)
			v.see("shelf", batchview.ViewShelf(things, uses, states, e), nil)
			for _, item := range things.Items {
				view, err := batchview.ViewStock(things, uses, item.ID, e)
				v.see("stock", view, err)
			}
			for _, p := range e.Places {
				v.see("place", batchview.ViewPlaceWithBags(p, states, e), nil)
			}
			file, err := h.Calendar(h.ctx, h.LocalAsker(), batchview.CalendarOrder{}, unit.Style{})
			v.see("calendar", file, err)
			must(t, h.store.Close())

			// And the commands, on the folder as it is.
			name := states[0].Name
			out := filepath.Join(t.TempDir(), "all.json")
			for _, args := range [][]string{{"check"}, {"why", name}, {"export", out}, {"label", name, "--what", "bucket", "--out", filepath.Join(t.TempDir(), "l.pdf")}} {
				if code, said, errs := runCommand(t, h.data, args...); code != exitOK {
					t.Errorf("%v: %d %s%s", args, code, said, errs)
				}
			}
			text, err := os.ReadFile(out)
			must(t, err)
			var all struct{ Facts []json.RawMessage }
			if must(t, json.Unmarshal(text, &all)); len(all.Facts) != len(u.Facts) {
				t.Errorf("exported are %d of %d facts", len(all.Facts), len(u.Facts))
			}
		})
	}
}

// viewer wants of each view that it answers and can be sent to a screen.
type viewer struct{ t *testing.T }

func (v viewer) see(what string, view any, err error) {
	v.t.Helper()
	text, encoding := json.Marshal(view)
	if err != nil || encoding != nil || len(text) < 2 || string(text) == "null" {
		v.t.Errorf("%s: %v %v %s", what, err, encoding, text)
	}
}
