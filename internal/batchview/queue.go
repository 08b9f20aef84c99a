package batchview

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"coldbatch/internal/batch"
	"coldbatch/internal/colour"
	"coldbatch/internal/journal"
	"coldbatch/internal/liquor"
	"coldbatch/internal/plan"
	"coldbatch/internal/provenance"
	"coldbatch/internal/unit"
	"coldbatch/internal/zone"
)

// QueueItem is a line of pieces that are not in bags yet, with what each of them gets.
type QueueItem struct {
	Piece          journal.ID            `json:"piece"`
	Words          string                `json:"words"` // one of them: "tee, spiral"
	LeftCount      int                   `json:"left"`
	Fold           string                `json:"fold"`
	FoldWords      string                `json:"foldWords"`
	Colours        []QueueColour         `json:"colours"`
	Shares         []journal.ColourInBag `json:"shares"` // the same, as a bag is closed with
	Note           string                `json:"note,omitempty"`
	Cautions       []provenance.Caution  `json:"cautions"` // for wool and silk
	TakenBy        []TakenBy             `json:"taken"`    // who dyes some of them now
	TakenHereCount int                   `json:"mine"`     // how many this phone has taken
	FreeCount      int                   `json:"free"`     // how many nobody has taken
	lightness      float64
}

// QueueColour is a colour of one piece with how much of it goes on.
type QueueColour struct {
	ColourView
	Amount  string `json:"amount"`             // "60 mL, 30 mL a side"; of a design "60 mL" in all
	Squeeze string `json:"squeezes,omitempty"` // "12 squeezes a side", where a bottle was calibrated
}

// TakenBy says how many pieces the user of a phone is dyeing now, and since when.
type TakenBy struct {
	Device      journal.ID `json:"device"`
	Name        string     `json:"name"`
	Count       int        `json:"count"`
	TimeText    string     `json:"when"`
	IsThisPhone bool       `json:"mine,omitempty"`
}

// NextClosing is what the plan knows of the bag that this phone closes next.
type NextClosing struct {
	Piece   journal.ID            `json:"piece"`
	Colours []journal.ColourInBag `json:"colours"`
	Fold    string                `json:"fold"`
	Place   journal.ID            `json:"place,omitempty"`
	Blank   string                `json:"blank,omitempty"` // the next free blank; empty where none was printed
	Number  string                `json:"number"`          // of the blank, or of the phone
	LastBag journal.ID            `json:"last,omitempty"`  // the bag that this phone closed last
}

// takeTime says how long a piece counts as taken (judgement: after that the phone was probably put aside).
const takeTime = 3 * zone.Hour

// viewQueue returns the pieces to dye in the order of work: light colours before dark ones, so that
// drips do no harm, and those that share colours together.
func viewQueue(s batch.State, e ViewEnv) []QueueItem {
	out := []QueueItem{}
	for _, p := range s.Pieces {
		left := p.Count - countBagged(s, p.ID)
		if left <= 0 || p.NeedsNewerApp {
			continue
		}
		q := QueueItem{Piece: p.ID, Words: singlePieceWords(s, p.ID), LeftCount: left, Fold: p.Fold, FoldWords: foldOf(p.Fold).Words,
			Colours: []QueueColour{}, Shares: plannedShares(s, p), Note: p.Note, TakenBy: []TakenBy{},
			Cautions: append([]provenance.Caution{}, clothCautions(s, []journal.ID{p.ID})...)}
		q.setColours(s, p, e)
		q.setTaken(s, p, e)
		out = append(out, q)
	}
	group := map[string]float64{} // lightness of the pieces that share colours
	for _, q := range out {
		if had, known := group[q.colourKey()]; !known || q.lightness < had {
			group[q.colourKey()] = q.lightness
		}
	}
	slices.SortStableFunc(out, func(a, b QueueItem) int {
		ka, kb := a.colourKey(), b.colourKey()
		return cmp.Or(cmp.Compare(group[kb], group[ka]), cmp.Compare(ka, kb))
	})
	return out
}

// plannedShares returns the colours of a piece with their shares: its own, or all of the batch.
func plannedShares(s batch.State, p batch.Piece) []journal.ColourInBag {
	shares := slices.Clone(p.Colours)
	if len(shares) == 0 {
		for _, c := range s.Colours {
			shares = append(shares, journal.ColourInBag{Colour: c.ID})
		}
	}
	if len(shares) == 0 {
		return []journal.ColourInBag{}
	}
	return evenShares(shares)
}

// colourKey returns the same key for pieces that share all their colours.
func (q QueueItem) colourKey() string {
	ids := make([]string, 0, len(q.Shares))
	for _, c := range q.Shares {
		ids = append(ids, string(c.Colour))
	}
	slices.Sort(ids)
	return strings.Join(ids, " ")
}

// setColours sets the colours, how much of each a piece takes, and how light they are together.
func (q *QueueItem) setColours(s batch.State, p batch.Piece, e ViewEnv) {
	taken := float64(liquor.LiquorNeed{Goods: unit.Mass(p.Grams), Held: plan.HeldShares(e.Kit), CoveredShare: 1}.TakenUp())
	doses := designDoses(p)
	for _, share := range q.Shares {
		c, known := s.Colour(share.Colour)
		if !known {
			continue
		}
		v := QueueColour{ColourView: viewColour(c)}
		v.Share = share.Share
		markOff(s, &v.ColourView, 0)
		if doses != nil { // its card says what goes on which section
			v.Amount = e.formatVolume(doses[c.ID])
		} else if ml := roundDose(taken * share.Share); ml > 0 {
			v.Amount = e.formatVolume(ml) + ", " + e.formatVolume(ml/2) + " a side"
			if v.Squeeze = e.countSqueezes(ml / 2); v.Squeeze != "" {
				v.Squeeze += " a side"
			}
		}
		rgb := parseRGB(c.RGB)
		q.lightness += share.Share * colour.FromSRGB(rgb[0], rgb[1], rgb[2]).L
		q.Colours = append(q.Colours, v)
	}
}

// roundDose rounds mL to what a squeeze bottle can show: 10 mL, below 50 mL two.
func roundDose(ml float64) float64 {
	if ml < 50 {
		return 2 * math.Round(ml/2)
	}
	return 10 * math.Round(ml/10)
}

// setTaken sets who dyes some of the pieces now. A bag that a phone closes ends what it took before.
func (q *QueueItem) setTaken(s batch.State, p batch.Piece, e ViewEnv) {
	byDevice := map[journal.ID]int{}
	for _, t := range p.Taken {
		if e.Now.Sub(t.At) > takeTime || t.At > e.Now || closedSince(s, p.ID, t) {
			continue
		}
		i, had := byDevice[t.Device]
		if !had {
			i = len(q.TakenBy)
			byDevice[t.Device] = i
			q.TakenBy = append(q.TakenBy, TakenBy{Device: t.Device, Name: e.deviceName(s, t.Device), IsThisPhone: t.Device == e.Device})
		}
		q.TakenBy[i].Count += t.Count
		q.TakenBy[i].TimeText = e.formatTime(t.At)
	}
	sum := 0
	for _, t := range q.TakenBy {
		sum += t.Count
		if t.IsThisPhone {
			q.TakenHereCount += t.Count
		}
	}
	q.FreeCount = max(0, q.LeftCount-sum)
}

// closedSince says whether the phone of a take closed a bag with that piece since.
func closedSince(s batch.State, piece journal.ID, t batch.Take) bool {
	return slices.ContainsFunc(s.Bags, func(b batch.Bag) bool {
		return b.Device == t.Device && b.ClosedAt >= t.At &&
			slices.ContainsFunc(b.Pieces, func(p journal.PieceInBag) bool { return p.Piece == piece })
	})
}

// deviceName names a phone: "this phone", what it is called, or "another phone".
func (e ViewEnv) deviceName(s batch.State, device journal.ID) string {
	if device == e.Device {
		return "this phone"
	}
	if name := e.Names[device]; name != "" {
		return name
	}
	if h, known := find(s.Helpers, func(h batch.Helper) bool { return h.Device == device }); known && h.Name != "" {
		return h.Name
	}
	return "another phone"
}

// nextClosing returns what this phone closes next: what it has taken, else the first of the queue
// that nobody has; where the bag before it stands; and the next free label.
func nextClosing(s batch.State, queue []QueueItem, e ViewEnv) *NextClosing {
	if len(queue) == 0 {
		return nil
	}
	first := queue[0]
	if q, taken := find(queue, func(q QueueItem) bool { return q.TakenHereCount > 0 }); taken {
		first = q
	} else if q, free := find(queue, func(q QueueItem) bool { return q.FreeCount > 0 }); free {
		first = q
	}
	n := &NextClosing{Piece: first.Piece, Colours: first.Shares, Fold: first.Fold}
	var last batch.Bag
	for _, b := range s.Bags {
		if b.Device == e.Device && b.ClosedAt >= last.ClosedAt {
			last = b
		}
	}
	if last.ID != "" {
		n.LastBag, n.Place = last.ID, last.Stays[0].Place
	}
	if u, ok := s.Numbers.NextNumber(e.Device, e.NumberLetter); ok {
		n.Number = formatBagNumber(u.Number, u.Letter)
	}
	if free := freeBlanks(s, e); len(free) > 0 {
		n.Blank = formatBagNumber(free[0].Number, free[0].Letter)
		n.Number = n.Blank
	}
	return n
}

// freeBlanks returns the numbered blanks that are on no bag, in the order they were printed. Those that
// this phone printed come first: two phones that are apart then take different ones.
func freeBlanks(s batch.State, e ViewEnv) []batch.BlankLabel {
	var mine, others []batch.BlankLabel
	for _, x := range s.Blanks {
		switch {
		case x.Piece != "" || x.Bag != "":
		case s.Numbers.IsLeasedTo(e.Device, x.Number, x.Letter):
			mine = append(mine, x)
		default:
			others = append(others, x)
		}
	}
	return append(mine, others...)
}

// takenBlank stands for the bag of a blank that is about to be attached.
const takenBlank journal.ID = "taken"

// DraftBags returns the facts that close n bags alike, with the numbers that follow, as DraftBag
// does for one.
func DraftBags(s batch.State, e ViewEnv, b journal.BagClosed, blank string, n int) ([]BagClosing, error) {
	out := make([]BagClosing, 0, n)
	for range max(1, n) {
		d, err := DraftBag(s, e, b, blank)
		if err != nil {
			return nil, err
		}
		out = append(out, d)
		used := journal.UsedNumber{Number: d.Closed.Number, Letter: d.Closed.Letter}
		s.Numbers.Used = append(slices.Clone(s.Numbers.Used), used)
		if d.BlankBound == nil {
			continue
		}
		s.Blanks = slices.Clone(s.Blanks)
		for i := range s.Blanks {
			if s.Blanks[i].Token == d.BlankBound.Token {
				s.Blanks[i].Bag = takenBlank
			}
		}
		blank = ""
		if free := freeBlanks(s, e); len(free) > 0 {
			after, found := find(free, func(x batch.BlankLabel) bool { return x.Letter == used.Letter && x.Number > used.Number })
			if !found {
				after = free[0]
			}
			blank = formatBagNumber(after.Number, after.Letter)
		}
	}
	return out, nil
}

// powderWords says since when dye powder is open, and which phone said so; "" while it is closed.
func powderWords(s batch.State, e ViewEnv) string {
	if s.OpenPowder == nil {
		return ""
	}
	return "since " + e.formatTime(s.OpenPowder.At) + ", on " + e.deviceName(s, s.OpenPowder.Device)
}
