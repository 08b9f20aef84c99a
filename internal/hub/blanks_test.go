package hub

import (
	"testing"

	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
)

// The hub prints blanks with numbers of its own, beside those of the phones; a
// blank that a phone ties to a bag leads to the bag, by its code and by its id.
func TestBlanksOfTheHub(t *testing.T) {
	h := newHouse(t)
	one := h.phone()
	draft, id := h.started("market")
	one.write(t, draft)
	one.meet(t, h.Hub)
	one.meet(t, h.Hub, id)
	blanks, err := h.PrintBlanks(id, 24)
	if err != nil || len(blanks) != 24 || blanks[0].Number != "21" || blanks[23].Number != "44" || blanks[0].Address == "" {
		t.Fatalf("printed %+v, %v", blanks, err)
	}
	more, err := h.PrintBlanks(id, 2)
	if err != nil || len(more) != 2 || more[0].Number != "45" || more[1].Typed == blanks[0].Typed {
		t.Fatalf("printed next %+v, %v", more, err)
	}
	two := h.phone()
	two.meet(t, h.Hub)
	two.meet(t, h.Hub, id)
	if l := journal.NumbersOf(h.facts).Leases; l[len(l)-1].From != 47 {
		t.Errorf("a phone is leased %+v", l[len(l)-1])
	}
	if _, err := h.Bag(h.Local(), blanks[2].Code); !fault.Is(err, fault.NotFound) {
		t.Errorf("a free blank leads to a bag: %v", err)
	}
	_, err = h.PrintBlanks(h.id(), 1)
	wants(t, err, fault.NotFound)
	_, err = h.PrintBlanks(id, 201)
	wants(t, err, fault.Input)
	_, err = h.PrintTags(id)
	wants(t, err, fault.Missing)
	for range 4 {
		if _, err = h.PrintBlanks(id, 200); err != nil {
			t.Fatal(err)
		}
	}
	_, err = h.PrintBlanks(id, 200)
	wants(t, err, fault.Conflict)
}
