package journal

// MaxNumber is the highest bag number: what the label's field holds.
const MaxNumber = 1023

// LeaseSize is how many numbers the hub gives a phone at a time.
const LeaseSize = 20

// Letters are the letters of phones, in the order in which they are given. I and
// O are left out: they read as 1 and 0.
const Letters = "ABCDEFGHJKLMNPQRSTUVWXYZ"

// Numbers is what is known in a batch of the bag numbers given so far.
type Numbers struct {
	Leases []Leased `json:"leases"`
	Used   []Used   `json:"used"`
}

// Used is a number that stands on a bag, withdrawn or not: a label may have been
// printed, so it is never used again.
type Used struct {
	Number int    `json:"number"`
	Letter string `json:"letter,omitempty"`
}

// NumbersOf gathers leases and used numbers from a batch's facts, also from
// withdrawn ones.
func NumbersOf(facts []Fact) Numbers {
	n := Numbers{Leases: []Leased{}, Used: []Used{}}
	for _, f := range Ordered(facts) {
		switch f.Kind {
		case KindLeased:
			if l, ok := Decode[Leased](f); ok {
				n.Leases = append(n.Leases, l)
			}
		case "bag.closed":
			if b, ok := Decode[BagClosed](f); ok {
				n.Used = append(n.Used, Used{b.Number, b.Letter})
			}
		}
	}
	return n
}

// Next gives the number for the next bag that device closes: the first free one
// of its leases, else a number with the phone's letter. ok is false when the
// phone has neither a lease nor a letter; it must reach the hub once.
func (n Numbers) Next(device ID, letter string) (u Used, ok bool) {
	if free := n.free(device); len(free) > 0 {
		return Used{Number: free[0]}, true
	}
	used := make(map[Used]bool, len(n.Used))
	for _, x := range n.Used {
		used[x] = true
	}
	if letter == "" {
		return Used{}, false
	}
	for i := 1; i <= MaxNumber; i++ {
		if u := (Used{i, letter}); !used[u] {
			return u, true
		}
	}
	return Used{}, false
}

// Left gives how many numbers of device's leases are free.
func (n Numbers) Left(device ID) int { return len(n.free(device)) }

// free gives the numbers that device may still give, in the order of its leases.
// A number that was leased twice, as by a hub that was put back from an old
// copy, belongs to the earlier lease.
func (n Numbers) free(device ID) []int {
	gone := make(map[int]bool, len(n.Used))
	for _, x := range n.Used {
		if x.Letter == "" {
			gone[x.Number] = true
		}
	}
	var free []int
	for _, l := range n.Leases {
		for i := max(1, l.From); i <= min(l.To, MaxNumber); i++ {
			if !gone[i] && l.Device == device {
				free = append(free, i)
			}
			gone[i] = true
		}
	}
	return free
}

// Lease gives the block after every number that was ever leased or used; ok is
// false when the numbers of the batch have run out.
func (n Numbers) Lease(device ID) (l Leased, ok bool) {
	high := 0
	for _, x := range n.Leases {
		high = max(high, x.To)
	}
	for _, u := range n.Used {
		if u.Letter == "" {
			high = max(high, u.Number)
		}
	}
	if high >= MaxNumber {
		return Leased{}, false
	}
	return Leased{Device: device, From: high + 1, To: min(high+LeaseSize, MaxNumber)}, true
}
