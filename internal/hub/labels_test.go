package hub

import (
	"strings"
	"testing"

	"coldbatch/internal/batchview"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
)

// What is laid out is not printed yet; once it is recorded, nothing is left to print.
func TestLabelsAreRecordedOncePrinted(t *testing.T) {
	h := newTestHub(t)
	p := h.newPhone()
	draft, id := h.startDraft("market")
	p.write(t, draft)
	p.closeBag(t, h, id, 7)
	p.closeBag(t, h, id, 8)
	p.syncWith(t, h.Hub)
	before := len(h.facts)
	q := LabelsRequest{Batch: "mark", LabelLayoutRequest: batchview.LabelLayoutRequest{Sheet: "a4-70x37", LabelSelection: batchview.LabelSelection{Unprinted: true}}}
	l, err := h.LayOutLabels(ctx, h.LocalAsker(), q)
	if err != nil || len(l.Labels) != 2 || len(l.Pages) != 1 || l.Name != "market" || l.DPI != 600 || len(h.facts) != before {
		t.Fatalf("%+v, %v, %d facts", l, err, len(h.facts)-before)
	}
	hints, stop := h.Subscribe()
	defer stop()
	if err := h.RecordLabelsPrinted(ctx, h.LocalAsker(), *l); err != nil || len(h.facts) != before+2 {
		t.Fatalf("%d facts, %v", len(h.facts)-before, err)
	}
	if seq := <-hints; seq != uint64(len(h.facts)) {
		t.Errorf("phones are told of %d", seq)
	}
	if f := h.facts[before]; f.Kind != journal.KindBagPrinted || f.Device != h.ID || f.Subject != l.Labels[0].Bag {
		t.Errorf("recorded as %s", f.Text())
	}
	_, err = h.LayOutLabels(ctx, h.LocalAsker(), q)
	wantFault(t, err, fault.NotFound)
	if l, err := h.LayOutLabels(ctx, h.LocalAsker(), LabelsRequest{Batch: string(id), LabelLayoutRequest: batchview.LabelLayoutRequest{Sheet: "roll-62"}}); err != nil || len(l.Pages) != 2 || l.DPI != 203 {
		t.Errorf("all of them again: %+v, %v", l, err)
	}
}

// A batch is found by its id, its name, or the beginning of its name if only one matches.
func TestFindBatchForLabels(t *testing.T) {
	h := newTestHub(t)
	p := h.newPhone()
	ids := map[string]journal.ID{}
	for _, name := range []string{"market", "market stall", "Garden"} {
		draft, id := h.startDraft(name)
		p.write(t, draft)
		p.closeBag(t, h, id, 1)
		ids[name] = id
	}
	var twins []string
	for range 2 {
		draft, id := h.startDraft("twin")
		p.write(t, draft)
		twins = append(twins, string(id))
	}
	p.syncWith(t, h.Hub)
	_, err := h.LayOutLabels(ctx, h.LocalAsker(), LabelsRequest{Batch: "Twin", LabelLayoutRequest: batchview.LabelLayoutRequest{Sheet: "a4-70x37"}})
	if !fault.Is(err, fault.Conflict) || !strings.Contains(err.Error(), twins[0]) || !strings.Contains(err.Error(), twins[1]) {
		t.Errorf("two of one name: %v", err)
	}
	for _, row := range []struct {
		why, batch, is string
		who            rights.Asker
		code           fault.Code
	}{
		{"its whole name, though another begins so", "market", "market", h.LocalAsker(), ""},
		{"in capitals, with a space", " GARDEN", "Garden", h.LocalAsker(), ""},
		{"how it begins", "market s", "market stall", h.LocalAsker(), ""},
		{"its id", string(ids["Garden"]), "Garden", h.LocalAsker(), ""},
		{"two may be meant", "mark", "", h.LocalAsker(), fault.Conflict},
		{"none", "autumn", "", h.LocalAsker(), fault.NotFound},
		{"not said", "", "", h.LocalAsker(), fault.NotFound},
		{"a helper's own batch", "mark", "market", rights.Asker{Role: rights.Helper, Batches: []journal.ID{ids["market"]}}, ""},
		{"another batch than the helper's", "Garden", "", rights.Asker{Role: rights.Helper, Batches: []journal.ID{ids["market"]}}, fault.Refused},
		{"the same by its id", string(ids["Garden"]), "", rights.Asker{Role: rights.Helper, Batches: []journal.ID{ids["market"]}}, fault.Refused},
		{"a stranger", "market", "", rights.Asker{Role: rights.Stranger}, fault.Refused},
		{"who holds a label", "market", "", rights.Asker{Role: rights.LabelHolder}, fault.Refused},
	} {
		l, err := h.LayOutLabels(ctx, row.who, LabelsRequest{Batch: row.batch, LabelLayoutRequest: batchview.LabelLayoutRequest{Sheet: "a4-70x37"}})
		if row.code != "" {
			if !fault.Is(err, row.code) {
				t.Errorf("%s: %v", row.why, err)
			}
			continue
		}
		if err != nil || l.Name != row.is {
			t.Errorf("%s: %+v, %v", row.why, l, err)
		}
	}
}

// The hub numbers blanks and tags from a lease of its own, besides those of the phones.
// Used numbers are not reused, and in the end they run out.
func TestNumberBlanks(t *testing.T) {
	h := newTestHub(t)
	one := h.newPhone()
	draft, id := h.startDraft("market")
	one.write(t, draft)
	one.syncWith(t, h.Hub)
	one.syncWith(t, h.Hub, id) // it is leased 1 to 20
	numbers := func(prints []journal.ID, what string) (all []string) {
		t.Helper()
		l, err := h.LayOutLabels(ctx, h.LocalAsker(), LabelsRequest{Batch: "market", LabelLayoutRequest: batchview.LabelLayoutRequest{Sheet: "a4-70x37", LabelSelection: batchview.LabelSelection{LabelKind: what, PrintFacts: prints}}})
		if err != nil {
			t.Fatal(err)
		}
		for _, x := range l.Labels {
			all = append(all, x.Text.Number)
		}
		return all
	}
	prints, err := h.ReserveBlanks(ctx, h.LocalAsker(), BlanksRequest{Batch: "market", Count: 24, Sheet: "a4-70x37"})
	if got := numbers(prints, "blanks"); err != nil || len(got) != 24 || got[0] != "21" || got[23] != "44" {
		t.Fatalf("printed %v, %v", got, err)
	}
	more, err := h.ReserveBlanks(ctx, h.LocalAsker(), BlanksRequest{Batch: "market", Count: 2, Sheet: "a4-70x37"})
	if got := numbers(more, "blanks"); err != nil || len(got) != 2 || got[0] != "45" {
		t.Fatalf("printed next %v, %v", got, err)
	}
	one.closeBag(t, h, id, 1)
	one.syncWith(t, h.Hub)
	tags, err := h.ReserveBlanks(ctx, h.LocalAsker(), BlanksRequest{Batch: "market", Count: 2, Piece: "Pillowcase", Sheet: "40x20"})
	if got := numbers(tags, "tags"); err != nil || len(got) != 2 || got[0] != "47" {
		t.Fatalf("tagged %v, %v", got, err)
	}
	two := h.newPhone()
	two.syncWith(t, h.Hub)
	two.syncWith(t, h.Hub, id)
	if l := journal.NumbersFromFacts(h.facts).Leases; l[len(l)-1].FirstNumber != 49 {
		t.Errorf("a phone is leased %+v", l[len(l)-1])
	}
	before := len(h.facts)
	for _, row := range []struct {
		why  string
		who  rights.Asker
		q    BlanksRequest
		code fault.Code
	}{
		{"no such batch", h.LocalAsker(), BlanksRequest{Batch: "autumn", Count: 1, Sheet: "a4-70x37"}, fault.NotFound},
		{"no such piece", h.LocalAsker(), BlanksRequest{Batch: "market", Count: 1, Piece: "tent", Sheet: "a4-70x37"}, fault.NotFound},
		{"no such sheet", h.LocalAsker(), BlanksRequest{Batch: "market", Count: 1, Sheet: "a5"}, fault.NotFound},
		{"none", h.LocalAsker(), BlanksRequest{Batch: "market", Sheet: "a4-70x37"}, fault.Input},
		{"too many", h.LocalAsker(), BlanksRequest{Batch: "market", Count: 201, Sheet: "a4-70x37"}, fault.Input},
		{"a helper", rights.Asker{Role: rights.Helper, Batches: []journal.ID{id}}, BlanksRequest{Batch: "market", Count: 1, Sheet: "a4-70x37"}, fault.Refused},
	} {
		if _, err := h.ReserveBlanks(ctx, row.who, row.q); !fault.Is(err, row.code) || len(h.facts) != before {
			t.Errorf("%s: %v, %d facts", row.why, err, len(h.facts)-before)
		}
	}
	for range 4 {
		if _, err := h.ReserveBlanks(ctx, h.LocalAsker(), BlanksRequest{Batch: "market", Count: 200, Sheet: "a4-70x37"}); err != nil {
			t.Fatal(err)
		}
	}
	_, err = h.ReserveBlanks(ctx, h.LocalAsker(), BlanksRequest{Batch: "market", Count: 200, Sheet: "a4-70x37"})
	wantFault(t, err, fault.Conflict)
}
