package hub

import (
	"strings"
	"testing"

	"coldbatch/internal/api"
	"coldbatch/internal/batch"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
	"coldbatch/internal/zone"
)

func TestInvitation(t *testing.T) {
	h := newTestHub(t)
	i := h.mustInvite(t)
	canonical, err := journal.ParseCode(i.GroupedCode)
	if err != nil || canonical != i.Code || i.Address != "HTTPS://COLDBATCH.LOCAL:8443/JOIN/"+i.Code || i.DigitsExpireAt != noon.Add(10*zone.Minute) {
		t.Errorf("%+v %v", i, err)
	}
	if _, ok := journal.ParseDigits(i.Digits); !ok || len(i.Digits) != 9 {
		t.Errorf("digits %q", i.Digits)
	}
	if kept := string(h.meta[accessKey]); strings.Contains(kept, i.Code) || strings.Contains(kept, strings.ReplaceAll(i.Digits, " ", "")) {
		t.Error("a code is kept as it is")
	}
	one := h.addOwner(t)
	if strings.Contains(string(h.meta[accessKey]), one.token) {
		t.Error("a token is kept as it is")
	}
	for range 2 * maxInvitations {
		h.mustInvite(t)
	}
	if n := len(h.copyAccess().Invitations); n != maxInvitations {
		t.Errorf("%d invitations are open", n)
	}
	helper := h.addHelper(t, h.shareBatch(t, one, h.startBatch(t, one, "market"), 0))
	for why, who := range map[string]rights.Asker{"a helper": h.askerOf(helper), "a stranger": {Role: rights.Stranger}, "who holds a label": {Role: rights.LabelHolder}, "nobody": {}} {
		if _, err := h.Invite(ctx, who); !fault.Is(err, fault.Refused) {
			t.Errorf("%s invites: %v", why, err)
		}
	}
	if _, err := h.Invite(ctx, h.askerOf(one)); err != nil {
		t.Errorf("an owner's phone invites: %v", err)
	}
}

// Each row is a phone that comes with a code; first is what happened before.
func TestPair(t *testing.T) {
	type scene struct {
		*testHub
		i   *api.Invitation
		me  *networkPhone
		any *networkPhone // another phone
	}
	for _, c := range []struct {
		why   string
		first func(*scene)
		code  func(*scene) string
		want  fault.Code // "" is let in
	}{
		{"by the link", nil, func(s *scene) string { return s.i.Code }, ""},
		{"by the code of the link, typed", nil, func(s *scene) string { return strings.ToLower(s.i.GroupedCode) }, ""},
		{"by the digits", nil, func(s *scene) string { return s.i.Digits }, ""},
		{"by the digits in their last second", func(s *scene) { s.now = s.now.Add(10*zone.Minute - 1000) }, func(s *scene) string { return s.i.Digits }, ""},
		{"by digits that are too old", func(s *scene) { s.now = s.now.Add(10 * zone.Minute) }, func(s *scene) string { return s.i.Digits }, fault.Refused},
		{"by the link, which lives longer", func(s *scene) { s.now = s.now.Add(24*zone.Hour - 1) }, func(s *scene) string { return s.i.Code }, ""},
		{"by a link of yesterday", func(s *scene) { s.now = s.now.Add(24 * zone.Hour) }, func(s *scene) string { return s.i.Code }, fault.Refused},
		{"by a link of a clock that was set back since", func(s *scene) { s.now = s.now.Add(-zone.Hour) }, func(s *scene) string { return s.i.Code }, fault.Refused},
		{"by digits of another", nil, func(s *scene) string { return "0000 0000" }, fault.Refused},
		{"by a code of another", nil, func(s *scene) string { return "0000-0000-0000-0000" }, fault.Refused},
		{"by what is no code", nil, func(s *scene) string { return "let me in" }, fault.Input},
		{"by nothing", nil, func(s *scene) string { return "" }, fault.Input},
		{"by the hash that the file keeps", nil, func(s *scene) string { return hashOf(s.i.Code) }, fault.Input},
		{"by the link that another phone spent", func(s *scene) { _, _ = s.pair(s.any, s.i.Code) }, func(s *scene) string { return s.i.Code }, fault.Refused},
		{"by digits whose link another phone spent", func(s *scene) { _, _ = s.pair(s.any, s.i.Code) }, func(s *scene) string { return s.i.Digits }, fault.Refused},
		{"again, since the answer was lost", func(s *scene) { _, _ = s.pair(s.me, s.i.Digits); s.me.token = "" }, func(s *scene) string { return s.i.Digits }, ""},
		{"again by the other half", func(s *scene) { _, _ = s.pair(s.me, s.i.Digits); s.me.token = "" }, func(s *scene) string { return s.i.Code }, ""},
		{"again, though the program was started anew", func(s *scene) { _, _ = s.pair(s.me, s.i.Digits); s.me.token = ""; s.open(t) }, func(s *scene) string { return s.i.Digits }, ""},
		{"again, too late", func(s *scene) { _, _ = s.pair(s.me, s.i.Code); s.now = s.now.Add(10 * zone.Minute) }, func(s *scene) string { return s.i.Code }, fault.Refused},
		{"again and again, too late though each was in time", func(s *scene) {
			for range 3 {
				_, _ = s.pair(s.me, s.i.Code)
				s.now = s.now.Add(4 * zone.Minute)
			}
		}, func(s *scene) string { return s.i.Code }, fault.Refused},
		{"again, after it was seen with its token: whoever read the code off a screen may know its id", func(s *scene) {
			_, _ = s.pair(s.me, s.i.Code)
			s.now = s.now.Add(1000)
			_, _ = s.syncPhone(s.me)
		}, func(s *scene) string { return s.i.Code }, fault.Refused},
	} {
		s := &scene{testHub: newTestHub(t)}
		s.i, s.me, s.any = s.mustInvite(t), s.newUnpairedPhone(), s.newUnpairedPhone()
		if c.first != nil {
			c.first(s)
		}
		old := s.me.token
		p, err := s.pair(s.me, c.code(s))
		if c.want != "" {
			if !fault.Is(err, c.want) || fault.AsFault(err).Hint == "" {
				t.Errorf("%s: %v", c.why, err)
			}
			continue
		}
		if err != nil || p.Letter == "" || p.Hub != s.Identity || p.Asker.Role != rights.Owner || p.Asker.Device != s.me.Device || len(p.Token) < 43 {
			t.Errorf("%s: %+v %v", c.why, p, err)
			continue
		}
		if s.roleOf(s.me) != "owner" || old != "" && s.roleOf(&networkPhone{token: old}) != "stranger" {
			t.Errorf("%s: its token makes it %s", c.why, s.roleOf(s.me))
		}
		if n := countKind(s.facts, journal.KindDeviceJoined); n != 1 {
			t.Errorf("%s: joined %d times", c.why, n)
		}
		s.open(t) // who was let in stays so
		if s.roleOf(s.me) != "owner" {
			t.Errorf("%s: after a new start it is %s", c.why, s.roleOf(s.me))
		}
	}
}

func countKind(facts []journal.Fact, kind string) (n int) {
	for _, f := range facts {
		if f.Kind == kind {
			n++
		}
	}
	return n
}

// A wrong code causes no disk sync and does not wait for a writer.
func TestWrongCodeWritesNothing(t *testing.T) {
	h := newTestHub(t)
	one := h.addOwner(t)
	h.shareBatch(t, one, h.startBatch(t, one, "market"), 0)
	h.mustInvite(t)
	updates := h.updates
	for _, code := range []string{"1234 5678", "K7M2-Q9X4-TTRW-9ABC"} {
		_, err := h.pair(h.newUnpairedPhone(), code)
		wantFault(t, err, fault.Refused)
	}
	if h.updates != updates {
		t.Errorf("%d transactions", h.updates-updates)
	}
}

func TestPairOnAFullDisk(t *testing.T) {
	h := newTestHub(t)
	i, g := h.mustInvite(t), h.newUnpairedPhone()
	h.updateErr = fault.New(fault.Full, "the disk is full")
	_, err := h.pair(g, i.Code)
	wantFault(t, err, fault.Full)
	h.updateErr = nil
	if h.mustPair(t, g, i.Code); h.roleOf(g) != "owner" {
		t.Error("the code was spent by what did not happen")
	}
}

func TestHelperJoins(t *testing.T) {
	h := newTestHub(t)
	one := h.addOwner(t)
	market, gifts := h.startBatch(t, one, "market"), h.startBatch(t, one, "gifts")
	code, limited := h.shareBatch(t, one, market, 0), h.shareBatch(t, one, gifts, noon.Add(zone.Hour))
	g := h.newUnpairedPhone()
	p := h.mustPair(t, g, strings.ToLower(code))
	if p.Batch != market || p.Asker.Role != rights.Helper || len(p.Asker.Batches) != 1 || p.Asker.Batches[0] != market || p.Letter != "" {
		t.Errorf("%+v", p)
	}
	for range 2 { // again, with its token and without: the answer may have been lost
		h.mustPair(t, g, code)
		g.token = ""
	}
	h.mustPair(t, g, code)
	if n := countKind(h.facts, kindHelperJoined); n != 1 {
		t.Errorf("joined %d times", n)
	}
	h.mustPair(t, g, limited)
	if h.roleOf(g) != "helper 2" {
		t.Errorf("with two codes it is %s", h.roleOf(g))
	}
	h.now = noon.Add(zone.Hour)
	_, err := h.pair(h.newUnpairedPhone(), limited)
	wantFault(t, err, fault.Refused)
	if h.roleOf(g) != "helper 2" {
		t.Errorf("a code that has run out sent away who had joined: %s", h.roleOf(g))
	}
	// An owner's phone scans the code of its own batch, and stays what it is.
	if p := h.mustPair(t, one, code); p.Asker.Role != rights.Owner || p.Batch != market || countKind(h.facts, kindHelperJoined) != 2 {
		t.Errorf("%+v", p)
	}
}

// The id of a phone is in each of its facts, so helpers know it. Pairing with another
// phone's id does not give its access.
func TestPairWithTakenID(t *testing.T) {
	h := newTestHub(t)
	one := h.addOwner(t)
	market, gifts := h.startBatch(t, one, "market"), h.startBatch(t, one, "gifts")
	code, other := h.shareBatch(t, one, market, 0), h.shareBatch(t, one, gifts, 0)
	browser := h.newUnpairedPhone() // at the computer itself: it joined without a code
	if _, err := h.RegisterPhone(ctx, h.LocalAsker(), api.JoinRequest{Device: browser.Device}); err != nil {
		t.Fatal(err)
	}
	kai := h.addHelper(t, code)
	h.mustPair(t, kai, other)
	for why, device := range map[string]journal.ID{"the owner's": one.Device, "the computer's own": browser.Device, "the hub's": h.ID} {
		thief := &networkPhone{testPhone: &testPhone{Author: journal.Author{Device: device}}}
		if _, err := h.pair(thief, code); !fault.Is(err, fault.Refused) || thief.token != "" {
			t.Errorf("with %s id: %v", why, err)
		}
	}
	if h.roleOf(one) != "owner" || countKind(h.facts, kindHelperJoined) != 2 {
		t.Errorf("the owner's phone is %s", h.roleOf(one))
	}
	// With another helper's id neither: that one has exchanged, so it has its token.
	h.now = h.now.Add(1)
	h.mustSyncPhone(t, kai)
	thief := &networkPhone{testPhone: kai.testPhone}
	if _, err := h.pair(thief, code); !fault.Is(err, fault.Refused) || h.roleOf(thief) != "stranger" || h.roleOf(kai) != "helper 2" {
		t.Errorf("with a helper's id it is %s, and that one %s: %v", h.roleOf(thief), h.roleOf(kai), err)
	}
	// Nor once the answer with the token can no longer have been lost.
	ana := h.addHelper(t, code)
	h.now = h.now.Add(digitsLifetime)
	slow := &networkPhone{testPhone: ana.testPhone}
	if _, err := h.pair(slow, code); !fault.Is(err, fault.Refused) || h.roleOf(ana) != "helper 1" {
		t.Errorf("with the id of one that never exchanged it is %s, and that one %s: %v", h.roleOf(slow), h.roleOf(ana), err)
	}
	// The phone itself shows its token, and joins another batch with it.
	if h.mustPair(t, ana, other); h.roleOf(ana) != "helper 2" {
		t.Errorf("with its token it is %s", h.roleOf(ana))
	}
	_, err := h.Exchange(ctx, h.askerOf(kai), emptyRequest(one.testPhone))
	wantFault(t, err, fault.Refused)
	_, err = h.RegisterPhone(ctx, h.askerOf(kai), api.JoinRequest{Device: one.Device})
	wantFault(t, err, fault.Refused)
	_, err = h.Exchange(ctx, h.LocalAsker(), emptyRequest(&testPhone{Author: journal.Author{Device: h.ID}}))
	wantFault(t, err, fault.Refused)
}

// A helper that becomes an owner may from then on undo what others wrote.
func TestHelperBecomesOwner(t *testing.T) {
	h := newTestHub(t)
	one := h.addOwner(t)
	market, gifts := h.startBatch(t, one, "market"), h.startBatch(t, one, "gifts")
	kai := h.addHelper(t, h.shareBatch(t, one, market, 0))
	h.mustPair(t, kai, h.shareBatch(t, one, gifts, 0))
	h.recordFact(t, one, journal.BatchScope(gifts), gifts, journal.KindShareClosed, struct{}{}) // also where it helps no more
	note := h.recordFact(t, one, journal.BatchScope(gifts), gifts, journal.KindBatchChanged, map[string]string{"note": "for the fair"})
	if h.mustPair(t, kai, h.mustInvite(t).Digits); h.roleOf(kai) != "owner" {
		t.Fatalf("it is %s", h.roleOf(kai))
	}
	h.mustSyncPhone(t, kai)
	h.recordFact(t, kai, journal.BatchScope(gifts), gifts, journal.KindFactWithdrawn, journal.FactTarget{Target: note.ID})
	for _, id := range []journal.ID{market, gifts} {
		facts, _ := memoryTx{h.memoryJournal, false}.Scope(journal.BatchScope(id))
		if s := batch.Build(facts); len(s.Helpers) != 0 || s.Note != "" {
			t.Errorf("%s is left with helpers %v and note %q", s.Name, s.Helpers, s.Note)
		}
	}
}
