package hub

import (
	"testing"

	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
)

// A phone that is removed, or whose sharing is closed, knows codes. It comes back as a new
// phone with none of them, other helpers stay, and codes that it did not know stay good.
func TestRemovalEndsKnownCodes(t *testing.T) {
	for _, c := range []struct {
		why           string
		isOwner       bool // the phone that is removed
		market, gifts bool // whether the code of that batch is good afterwards
	}{
		{"a helper that joined the market", false, false, true},
		{"a phone of the owner, which knew every code", true, false, false},
	} {
		h := newTestHub(t)
		one, two := h.addOwner(t), h.addOwner(t)
		market, gifts := h.startBatch(t, one, "market"), h.startBatch(t, one, "gifts")
		marketCode, giftsCode := h.shareBatch(t, one, market, 0), h.shareBatch(t, one, gifts, 0)
		kai, ana := h.addHelper(t, marketCode), h.addHelper(t, marketCode)
		h.mustSyncPhone(t, two)
		lost := kai
		if c.isOwner {
			lost = two
		}
		h.removePhone(t, one, lost)
		for _, x := range []struct {
			name, code string
			isGood     bool
		}{{"market", marketCode, c.market}, {"gifts", giftsCode, c.gifts}} {
			fresh := h.newUnpairedPhone()
			_, err := h.pair(fresh, x.code)
			if x.isGood != (err == nil) || !x.isGood && (!fault.Is(err, fault.Refused) || h.roleOf(fresh) != "stranger") {
				t.Errorf("%s comes back to %s as a new phone: %v, it is %s", c.why, x.name, err, h.roleOf(fresh))
			}
		}
		if h.roleOf(ana) != "helper 1" || h.roleOf(lost) != "out" {
			t.Errorf("%s: the other helper is %s, it is %s", c.why, h.roleOf(ana), h.roleOf(lost))
		}
		// The screens of another phone of the owner show that the code has ended.
		if s := h.buildBatch(t, market); len(s.ShareCodes) != 1 || s.ShareCodes[0].Until == 0 || s.ShareCodes[0].Until > h.now || len(s.Helpers) < 1 {
			t.Errorf("%s: codes %+v, helpers %+v", c.why, s.ShareCodes, s.Helpers)
		}
		// A new code lets helpers in, and the clock that is set back brings no old one back.
		if sam := h.addHelper(t, h.shareBatch(t, one, market, 0)); h.roleOf(sam) != "helper 1" {
			t.Errorf("%s: with a new code a helper is %s", c.why, h.roleOf(sam))
		}
		h.now = h.now.Add(-1000)
		if _, err := h.pair(h.newUnpairedPhone(), marketCode); !fault.Is(err, fault.Refused) {
			t.Errorf("%s: after the clock was set back the code is good: %v", c.why, err)
		}
	}
}

// A removal that comes late, as from a phone of the owner that was away, leaves alone a
// code that was opened after it.
func TestLateRemovalLeavesLaterCodes(t *testing.T) {
	h := newTestHub(t)
	one, away := h.addOwner(t), h.addOwner(t)
	market := h.startBatch(t, one, "market")
	kai := h.addHelper(t, h.shareBatch(t, one, market, 0))
	h.mustSyncPhone(t, away)
	away.write(t, journal.Draft{Scope: journal.HouseScope, Subject: kai.Device, Kind: kindRevoked, Body: factText(`{}`)})
	h.now = h.now.Add(1000)
	one.Now = h.now
	code := h.shareBatch(t, one, market, 0)
	h.mustSyncPhone(t, away)
	if ana := h.addHelper(t, code); h.roleOf(ana) != "helper 1" || h.roleOf(kai) != "out" {
		t.Errorf("a helper with the later code is %s, the removed one %s", h.roleOf(ana), h.roleOf(kai))
	}
}

// Closing a sharing ends its codes for the helper that is sent away, as a new phone too.
func TestClosingEndsKnownCodes(t *testing.T) {
	h := newTestHub(t)
	one := h.addOwner(t)
	market := h.startBatch(t, one, "market")
	first, second := h.shareBatch(t, one, market, 0), h.shareBatch(t, one, market, 0)
	kai := h.addHelper(t, first)
	h.recordFact(t, one, journal.BatchScope(market), market, journal.KindShareClosed, struct{}{})
	for _, code := range []string{first, second} {
		for _, g := range []*networkPhone{kai, h.newUnpairedPhone(), {testPhone: kai.testPhone}} {
			if _, err := h.pair(g, code); !fault.Is(err, fault.Refused) || h.roleOf(g) == "helper 1" {
				t.Errorf("it is %s: %v", h.roleOf(g), err)
			}
		}
	}
}
