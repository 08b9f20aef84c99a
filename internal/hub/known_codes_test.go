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
		one, two := h.owner(t), h.owner(t)
		market, gifts := h.begins(t, one, "market"), h.begins(t, one, "gifts")
		marketCode, giftsCode := h.shares(t, one, market, 0), h.shares(t, one, gifts, 0)
		kai, ana := h.helper(t, marketCode), h.helper(t, marketCode)
		h.mustCome(t, two)
		lost := kai
		if c.isOwner {
			lost = two
		}
		h.out(t, one, lost)
		for _, x := range []struct {
			name, code string
			isGood     bool
		}{{"market", marketCode, c.market}, {"gifts", giftsCode, c.gifts}} {
			fresh := h.guest()
			_, err := h.pair(fresh, x.code)
			if x.isGood != (err == nil) || !x.isGood && (!fault.Is(err, fault.Refused) || h.in(fresh) != "stranger") {
				t.Errorf("%s comes back to %s as a new phone: %v, it is %s", c.why, x.name, err, h.in(fresh))
			}
		}
		if h.in(ana) != "helper 1" || h.in(lost) != "out" {
			t.Errorf("%s: the other helper is %s, it is %s", c.why, h.in(ana), h.in(lost))
		}
		// The screens of another phone of the owner show that the code has ended.
		if s := h.build(t, market); len(s.Shares) != 1 || s.Shares[0].Until == 0 || s.Shares[0].Until > h.now || len(s.Helpers) < 1 {
			t.Errorf("%s: codes %+v, helpers %+v", c.why, s.Shares, s.Helpers)
		}
		// A new code lets helpers in, and the clock that is set back brings no old one back.
		if sam := h.helper(t, h.shares(t, one, market, 0)); h.in(sam) != "helper 1" {
			t.Errorf("%s: with a new code a helper is %s", c.why, h.in(sam))
		}
		h.now = h.now.Add(-1000)
		if _, err := h.pair(h.guest(), marketCode); !fault.Is(err, fault.Refused) {
			t.Errorf("%s: after the clock was set back the code is good: %v", c.why, err)
		}
	}
}

// A removal that comes late, as from a phone of the owner that was away, leaves alone a
// code that was opened after it.
func TestLateRemovalLeavesLaterCodes(t *testing.T) {
	h := newTestHub(t)
	one, away := h.owner(t), h.owner(t)
	market := h.begins(t, one, "market")
	kai := h.helper(t, h.shares(t, one, market, 0))
	h.mustCome(t, away)
	away.write(t, journal.Draft{Scope: journal.HouseScope, Subject: kai.Device, Kind: kindRevoked, Body: rawText(`{}`)})
	h.now = h.now.Add(1000)
	one.Now = h.now
	code := h.shares(t, one, market, 0)
	h.mustCome(t, away)
	if ana := h.helper(t, code); h.in(ana) != "helper 1" || h.in(kai) != "out" {
		t.Errorf("a helper with the later code is %s, the removed one %s", h.in(ana), h.in(kai))
	}
}

// Closing a sharing ends its codes for the helper that is sent away, as a new phone too.
func TestClosingEndsKnownCodes(t *testing.T) {
	h := newTestHub(t)
	one := h.owner(t)
	market := h.begins(t, one, "market")
	first, second := h.shares(t, one, market, 0), h.shares(t, one, market, 0)
	kai := h.helper(t, first)
	h.does(t, one, journal.BatchScope(market), market, journal.KindShareClosed, struct{}{})
	for _, code := range []string{first, second} {
		for _, g := range []*guest{kai, h.guest(), {testPhone: kai.testPhone}} {
			if _, err := h.pair(g, code); !fault.Is(err, fault.Refused) || h.in(g) == "helper 1" {
				t.Errorf("it is %s: %v", h.in(g), err)
			}
		}
	}
}
