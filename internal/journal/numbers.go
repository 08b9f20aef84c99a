package journal

import "slices"

// MaxNumber is the highest bag number: what the label's field holds.
const MaxNumber = 1023

// LeaseSize says how many numbers the hub gives a phone at a time.
const LeaseSize = 20

// Letters are the letters of phones, in the order in which they are given. I and
// O are left out: they read as 1 and 0.
const Letters = "ABCDEFGHJKLMNPQRSTUVWXYZ"

// Numbers is what is known in a batch of the bag numbers given so far.
type Numbers struct {
	Leases []NumbersLeased `json:"leases"`
	Used   []UsedNumber    `json:"used"`
}

// UsedNumber is a number that stands on a bag, a numbered blank or the tag of a piece,
// withdrawn or not: a label may have been printed, so it is never used again.
type UsedNumber struct {
	Number int    `json:"number"`
	Letter string `json:"letter,omitempty"`

	// OnlyFor is set where a helper used a number that was not leased to it: only that helper's
	// own phone then counts it as used. Otherwise a helper could use up all numbers.
	OnlyFor ID `json:"by,omitempty"`
}

// counts says whether device must not use the number again.
func (u UsedNumber) counts(device ID) bool { return u.OnlyFor == "" || u.OnlyFor == device }

// NumbersFromFacts is CollectNumbers for facts that are in any order, are all by the owner's
// devices, and whose withdrawals are all valid.
func NumbersFromFacts(facts []Fact) Numbers {
	return CollectNumbers(SortedByStamp(facts), Effective(facts, nil), func(ID) bool { return true })
}

// CollectNumbers collects from a batch's facts, in order, the leases of the effective facts, and the
// numbers that any fact used, even a withdrawn one.
func CollectNumbers(ordered, effective []Fact, isOwner func(device ID) bool) Numbers {
	n := Numbers{Leases: []NumbersLeased{}, Used: []UsedNumber{}}
	printed := map[UsedNumber]bool{}
	for _, f := range effective {
		if l, ok := DecodeBody[NumbersLeased](f); ok && f.Kind == KindNumbersLeased {
			n.Leases = append(n.Leases, l)
		}
	}
	used := func(f Fact, number int, letter string) UsedNumber {
		u := UsedNumber{Number: number, Letter: letter}
		if !isOwner(f.Device) && !n.IsLeased(f.Device, u) {
			u.OnlyFor = f.Device
		}
		return u
	}
	for _, f := range ordered {
		switch f.Kind {
		case KindBagClosed:
			if b, ok := DecodeBody[BagClosed](f); ok {
				n.Used = append(n.Used, used(f, b.Number, b.Letter))
			}
		case KindBlanksPrinted, KindPieceTagged:
			if r, ok := DecodeBody[LabelNumberRange](f); ok && r.check() == nil {
				for i := r.From; i <= r.To; i++ {
					if u := used(f, i, r.Letter); !printed[u] {
						printed[u] = true
						n.Used = append(n.Used, u)
					}
				}
			}
		}
	}
	return n
}

// IsLeased says whether u was leased to device.
func (n Numbers) IsLeased(device ID, u UsedNumber) bool {
	return u.Letter == "" && slices.ContainsFunc(n.Leases, func(l NumbersLeased) bool {
		return l.Device == device && l.FirstNumber <= u.Number && u.Number <= l.LastNumber
	})
}

// NextNumber returns the number for the next bag that device closes: the first free one
// of its leases, else a number with the phone's letter. ok is false when the
// phone has neither a lease nor a letter; it must reach the hub once.
func (n Numbers) NextNumber(device ID, letter string) (u UsedNumber, ok bool) {
	if free := n.freeNumbers(device); len(free) > 0 {
		return UsedNumber{Number: free[0]}, true
	}
	used := make(map[UsedNumber]bool, len(n.Used))
	for _, x := range n.Used {
		if x.counts(device) {
			used[UsedNumber{Number: x.Number, Letter: x.Letter}] = true
		}
	}
	if letter == "" {
		return UsedNumber{}, false
	}
	for i := 1; i <= MaxNumber; i++ {
		if u := (UsedNumber{Number: i, Letter: letter}); !used[u] {
			return u, true
		}
	}
	return UsedNumber{}, false
}

// NextRanges returns count numbers for labels that device prints before their bags are
// closed, as NextNumber returns them, gathered into ranges. ok is false where there are not as
// many.
func (n Numbers) NextRanges(device ID, letter string, count int) (runs []LabelNumberRange, ok bool) {
	n.Used = append([]UsedNumber(nil), n.Used...)
	for range count {
		u, ok := n.NextNumber(device, letter)
		if !ok {
			return nil, false
		}
		n.Used = append(n.Used, u)
		if last := len(runs) - 1; last >= 0 && runs[last].Letter == u.Letter && runs[last].To == u.Number-1 {
			runs[last].To++
		} else {
			runs = append(runs, LabelNumberRange{From: u.Number, To: u.Number, Letter: u.Letter})
		}
	}
	return runs, true
}

// IsLeasedTo says whether a number was given to device.
func (n Numbers) IsLeasedTo(device ID, number int, letter string) bool {
	if letter != "" {
		return false
	}
	for _, l := range n.Leases {
		if l.FirstNumber <= number && number <= l.LastNumber {
			return l.Device == device
		}
	}
	return false
}

// FreeCount returns how many numbers of device's leases are free.
func (n Numbers) FreeCount(device ID) int { return len(n.freeNumbers(device)) }

// freeNumbers returns the numbers that device may still use, in the order of its leases.
// A number that was leased twice, as by a hub that was restored from an old backup,
// belongs to the earlier lease.
func (n Numbers) freeNumbers(device ID) []int {
	gone := make(map[int]bool, len(n.Used))
	for _, x := range n.Used {
		if x.Letter == "" && x.counts(device) {
			gone[x.Number] = true
		}
	}
	var free []int
	for _, l := range n.Leases {
		for i := max(1, l.FirstNumber); i <= min(l.LastNumber, MaxNumber); i++ {
			if !gone[i] && l.Device == device {
				free = append(free, i)
			}
			gone[i] = true
		}
	}
	return free
}

// NextLease returns a block of LeaseSize after every number that was ever leased or used;
// ok is false when the numbers of the batch have run out.
func (n Numbers) NextLease(device ID) (l NumbersLeased, ok bool) {
	return n.NextFreeBlock(device, LeaseSize)
}

// NextFreeBlock is NextLease for a block of another size.
func (n Numbers) NextFreeBlock(device ID, size int) (l NumbersLeased, ok bool) {
	high := 0
	for _, x := range n.Leases {
		high = max(high, x.LastNumber)
	}
	for _, u := range n.Used {
		if u.Letter == "" && u.OnlyFor == "" {
			high = max(high, u.Number)
		}
	}
	if high >= MaxNumber {
		return NumbersLeased{}, false
	}
	return NumbersLeased{Device: device, FirstNumber: high + 1, LastNumber: min(high+size, MaxNumber)}, true
}
