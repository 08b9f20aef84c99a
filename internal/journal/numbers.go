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

// Used is a number that stands on a bag, a numbered blank or the tag of a piece,
// withdrawn or not: a label may have been printed, so it is never used again.
type Used struct {
	Number int    `json:"number"`
	Letter string `json:"letter,omitempty"`
}

// NumbersOf gathers leases and used numbers from a batch's facts, also from
// withdrawn ones.
func NumbersOf(facts []Fact) Numbers {
	n := Numbers{Leases: []Leased{}, Used: []Used{}}
	printed := map[Used]bool{}
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
		case KindBlanks, KindTagged:
			if r, ok := Decode[Run](f); ok && r.check() == nil {
				for i := r.From; i <= r.To; i++ {
					if u := (Used{i, r.Letter}); !printed[u] {
						printed[u] = true
						n.Used = append(n.Used, u)
					}
				}
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

// Runs gives count numbers for labels that device prints before their bags are
// closed, as Next gives them, gathered into runs. ok is false where there are not as
// many.
func (n Numbers) Runs(device ID, letter string, count int) (runs []Run, ok bool) {
	n.Used = append([]Used(nil), n.Used...)
	for range count {
		u, ok := n.Next(device, letter)
		if !ok {
			return nil, false
		}
		n.Used = append(n.Used, u)
		if last := len(runs) - 1; last >= 0 && runs[last].Letter == u.Letter && runs[last].To == u.Number-1 {
			runs[last].To++
		} else {
			runs = append(runs, Run{From: u.Number, To: u.Number, Letter: u.Letter})
		}
	}
	return runs, true
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

// Lease gives a block of LeaseSize after every number that was ever leased or used;
// ok is false when the numbers of the batch have run out.
func (n Numbers) Lease(device ID) (l Leased, ok bool) { return n.Block(device, LeaseSize) }

// Block is Lease for a block of another size.
func (n Numbers) Block(device ID, size int) (l Leased, ok bool) {
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
	return Leased{Device: device, From: high + 1, To: min(high+size, MaxNumber)}, true
}
