package batchview

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"coldbatch/internal/batch"
	"coldbatch/internal/cure"
	"coldbatch/internal/journal"
	"coldbatch/internal/soak"
	"coldbatch/internal/unit"
	"coldbatch/internal/zone"
)

// readyTime says when one bag is ready, and when it certainly is, or 0.
type readyTime struct {
	bag       batch.Bag
	readyAt   zone.Instant
	certainAt zone.Instant
}

// bagReadyTime returns when a bag is ready: at the middle figure, or at the late one for a
// class that waits for it. It depends on the facts alone, not on the time.
func bagReadyTime(s batch.State, b batch.Bag, e ViewEnv) readyTime {
	if b.NeedsNewerApp || s.NeedsNewerApp {
		return readyTime{bag: b}
	}
	o, _, _ := bagOutlook(s, b, e, b.ClosedAt)
	r := readyTime{bag: b, readyAt: o.Ready, certainAt: o.Late}
	if cure.WaitsForLate(o.Class) && o.Late != 0 {
		r.readyAt = o.Late
	}
	return r
}

// readyGroup is the bags of a batch that stand in one place and cure, the first that is
// ready first; those in places that nobody named are one group. key names the group for as long as any of them stands there.
type readyGroup struct {
	key   string
	place journal.ID
	bags  []readyTime
}

// readyGroups groups the bags of s that cure and that match, and returns those for which no
// time can be given apart.
func readyGroups(s batch.State, e ViewEnv, matches func(batch.Bag) bool) (groups []readyGroup, untimed []batch.Bag) {
	at := map[journal.ID]int{}
	for _, b := range s.Bags {
		if b.Stage() != "cure" || !matches(b) {
			continue
		}
		r := bagReadyTime(s, b, e)
		if r.readyAt == 0 {
			untimed = append(untimed, b)
			continue
		}
		place := b.Stays[len(b.Stays)-1].Place
		if _, isKnown := e.Places[place]; !isKnown {
			place = "" // or each place that a helper invents would ring for itself
		}
		i, isThere := at[place]
		if !isThere {
			i, at[place] = len(groups), len(groups)
			groups = append(groups, readyGroup{key: string(s.ID) + "-" + string(place), place: place})
		}
		groups[i].bags = append(groups[i].bags, r)
	}
	for _, g := range groups {
		slices.SortStableFunc(g.bags, func(a, b readyTime) int {
			return cmp.Or(cmp.Compare(a.readyAt, b.readyAt), cmp.Compare(a.bag.Number, b.bag.Number), cmp.Compare(a.bag.Letter, b.bag.Letter))
		})
	}
	slices.SortStableFunc(groups, func(a, b readyGroup) int { return cmp.Compare(a.key, b.key) })
	return groups, untimed
}

// ReadyBag is a bag that cures, and when it is ready. Safe is when it certainly is, or 0.
type ReadyBag struct {
	Batch     journal.ID   `json:"batch"`
	BatchName string       `json:"batchName"`
	Bag       journal.ID   `json:"bag"`
	Number    string       `json:"number"`
	Contents  string       `json:"contents"`
	Place     journal.ID   `json:"place,omitempty"`
	PlaceName string       `json:"placeName,omitempty"`
	Ready     zone.Instant `json:"ready"`
	Safe      zone.Instant `json:"safe,omitempty"`
}

// ReadyGroup is the bags of a batch in one place that are ready or will be, the first first.
type ReadyGroup struct {
	Key  string     `json:"key"`
	Bags []ReadyBag `json:"bags"`
}

// Text says that the bags of the group are ready: "2 bags are probably ready: spring
// market, shed".
func (g ReadyGroup) Text() string {
	first := g.Bags[0]
	what := "bag " + first.Number + " is"
	if len(g.Bags) > 1 {
		what = countWords(len(g.Bags), "bag", "bags") + " are"
	}
	text := what + " probably ready: " + first.BatchName
	if first.PlaceName != "" {
		text += ", " + first.PlaceName
	}
	return oneLine(text)
}

// oneLine returns a text without line ends, which an earlier version took in names.
func oneLine(text string) string { return strings.Join(strings.Fields(text), " ") }

// ReadyGroups returns when the bags of all states are ready, batch by batch and place by
// place. Bags for which no time can be given are left out.
func ReadyGroups(states []batch.State, e ViewEnv) []ReadyGroup {
	var all []ReadyGroup
	for _, s := range states {
		groups, _ := readyGroups(s, e, func(batch.Bag) bool { return true })
		for _, g := range groups {
			out := ReadyGroup{Key: g.key}
			for _, r := range g.bags {
				out.Bags = append(out.Bags, ReadyBag{Batch: s.ID, BatchName: s.Name, Bag: r.bag.ID, Number: formatBagNumber(r.bag.Number, r.bag.Letter),
					Contents: contentWords(s, r.bag), Place: g.place, PlaceName: e.Places[g.place].Name, Ready: r.readyAt, Safe: r.certainAt})
			}
			all = append(all, out)
		}
	}
	return all
}

// Alarm is a time at which somebody has to do something. An alarm that has rung rings again if it has
// the same key and a later time.
type Alarm struct {
	Key      string       `json:"key"`
	At       zone.Instant `json:"at"`
	TimeText string       `json:"when"`  // "today 12:00, 12 min ago"
	Title    string       `json:"title"` // "Bag 4 is probably ready"
	Sub      string       `json:"sub"`   // the batch and the place
	Batch    journal.ID   `json:"batch"`
	Bag      journal.ID   `json:"bag,omitempty"`  // where it is one bag
	Soak     bool         `json:"soak,omitempty"` // where it is the soak
}

// ListAlarms returns the alarms of all states in order of time: for the bags of a batch in
// one place the first that is ready, and all; and the end of a soak that pieces are in.
func ListAlarms(states []batch.State, e ViewEnv) []Alarm {
	out := []Alarm{}
	for _, s := range states {
		groups, _ := readyGroups(s, e, func(batch.Bag) bool { return true })
		for _, g := range groups {
			first, last := g.bags[0], g.bags[len(g.bags)-1]
			sub := s.Name
			if name := e.Places[g.place].Name; name != "" {
				sub += ", " + name
			}
			a := Alarm{Key: g.key + "-first", At: first.readyAt, Title: "Bag " + formatBagNumber(first.bag.Number, first.bag.Letter) + " is probably ready",
				Sub: sub, Batch: s.ID, Bag: first.bag.ID}
			if len(g.bags) > 1 && last.readyAt < first.readyAt.Add(shortestEvent) {
				a.Title, a.Bag, a.At = countWords(len(g.bags), "bag is", "bags are")+" probably ready", "", last.readyAt
			}
			out = append(out, a)
			if last.readyAt >= first.readyAt.Add(shortestEvent) {
				out = append(out, Alarm{Key: g.key + "-all", At: last.readyAt, Title: "All " + countWords(len(g.bags), "bag is", "bags are") + " probably ready", Sub: sub, Batch: s.ID})
			}
		}
		for _, b := range s.Soaks {
			if !b.IsDiscarded && !b.NeedsNewerApp {
				out = append(out, soakAlarms(s, b, e)...)
			}
		}
	}
	for i, a := range out {
		out[i].TimeText = e.formatTime(a.At)
		if a.At < e.Now {
			out[i].TimeText += ", " + agoText(e.Now.Sub(a.At))
		}
	}
	slices.SortStableFunc(out, func(a, b Alarm) int { return cmp.Compare(a.At, b.At) })
	return out
}

// soakAlarms returns an alarm for each lot that is in a bath.
func soakAlarms(s batch.State, b batch.Soak, e ViewEnv) (out []Alarm) {
	for i, l := range b.Lots {
		if l.OutAt != 0 {
			continue
		}
		key := string(b.ID)
		if i > 0 {
			key += "-" + strconv.Itoa(i+1)
		}
		long, sub := soakTime(s, l), s.Name
		if len(l.Pieces) > 0 {
			sub += ", " + soakLotWords(s, l, e)
		}
		out = append(out, Alarm{Key: key, At: l.InAt.Add(long), Title: "Pieces have been in the soak for " + unit.Show(unit.KindDuration, float64(long/zone.Second), e.Style) + ": wring them",
			Sub: sub, Batch: s.ID, Soak: true})
	}
	return out
}

// soakTime returns how long a lot stays in the soak: the least for tied pieces where any of it was
// tied when it went in.
func soakTime(s batch.State, l batch.SoakLot) zone.Span {
	for _, p := range s.Pieces {
		isIn := len(l.Pieces) == 0 || slices.Contains(l.Pieces, p.ID)
		if isIn && p.TiedAt != 0 && p.TiedAt <= l.InAt {
			return zone.Span(soak.UsualTimeTied.Low) * zone.Second
		}
	}
	return zone.Span(soak.UsualTime.Value) * zone.Second
}

// soakLotWords names what is in a lot.
func soakLotWords(s batch.State, l batch.SoakLot, e ViewEnv) string {
	if len(l.Pieces) == 0 {
		return "all pieces"
	}
	return historyWriter{State: s, ViewEnv: e}.soakPieces(journal.SoakPieces{Pieces: l.Pieces})[0]
}
