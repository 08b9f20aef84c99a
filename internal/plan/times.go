package plan

import (
	"math"

	"coldbatch/internal/batch"
	"coldbatch/internal/provenance"
	"coldbatch/internal/soak"
	"coldbatch/internal/unit"
	"coldbatch/internal/zone"
)

// handTime is the source of how long hands take.
var handTime = judgementSource("a person who has done it a few times, unhurried")

// How long the steps take.
var (
	ScourTime = provenance.Value{Name: "washing before dyeing", Value: 90 * 60, Unit: "s", Source: judgementSource("a machine at 60 °C")}
	TieTime   = provenance.Value{Name: "folding and tying, a piece", Value: 8 * 60, Unit: "s", Low: 4 * 60, High: 20 * 60, Source: handTime}
	JugTime   = provenance.Value{Name: "weighing and mixing, a jug", Value: 8 * 60, Unit: "s", Low: 5 * 60, High: 12 * 60, Source: handTime}
	SetUpTime = provenance.Value{Name: "setting up and clearing away", Value: 20 * 60, Unit: "s", Source: handTime}
	DyeTime   = provenance.Value{Name: "dyeing and bagging, a piece", Value: 8 * 60, Unit: "s", Low: 5 * 60, High: 15 * 60, Source: handTime}
	RinseTime = provenance.Value{Name: "rinsing, a piece", Value: 6 * 60, Unit: "s", Low: 4 * 60, High: 12 * 60, Source: handTime}
	WashTime  = provenance.Value{Name: "machine wash at the end", Value: 90 * 60, Unit: "s", Source: judgementSource("a machine at 60 °C")}
)

// Step is one step of the work and how long it takes. Hands is the part that two people share.
type Step struct {
	Key   string
	Fixed unit.Duration
	Hands unit.Duration
}

// TimeFor says how long the step takes with that many people.
func (s Step) TimeFor(people int) unit.Duration {
	return s.Fixed + s.Hands/unit.Duration(max(1, people))
}

// StepsBeforeCure names the steps up to the closed bag, in order.
var StepsBeforeCure = []string{"scour", "tie", "soak", "jugs", "dye"}

// Steps lists the steps that are still to be done, for the pieces and colours that are left.
func Steps(s batch.State, isScoured, isSoaked bool) []Step {
	left, untied, jugs, all := 0, 0, 0, 0
	for _, p := range s.Pieces {
		if BlendOf(p).HarmedFibre() != "" {
			continue
		}
		n := max(0, p.Count-s.CountBagged(p.ID))
		left += n
		all += p.Count
		if !p.IsTied {
			untied += n
		}
	}
	for _, c := range s.Colours {
		if !IsMixed(s, c.ID) {
			jugs++
		}
	}
	if all == 0 {
		return nil
	}
	done := 0
	for _, b := range s.Bags {
		if b.RinsedAt != 0 || b.DoneAt != 0 {
			for _, p := range b.Pieces {
				done += p.Count
			}
		}
	}
	times := func(n int, v provenance.Value) unit.Duration { return unit.Duration(float64(n) * v.Value) }
	var out []Step
	add := func(key string, is bool, fixed, hands unit.Duration) {
		if is {
			out = append(out, Step{key, fixed, hands})
		}
	}
	add("scour", !isScoured && left > 0, unit.Duration(ScourTime.Value), 0)
	add("tie", untied > 0, 0, times(untied, TieTime))
	add("soak", !isSoaked && left > 0, unit.Duration(soak.UsualTimeTied.High), 0)
	add("jugs", jugs > 0, times(jugs, JugTime)+unit.Duration(SetUpTime.Value), 0)
	add("dye", left > 0, 0, times(left, DyeTime))
	add("rinse", all > done, 0, times(all-done, RinseTime))
	add("wash", all > done, unit.Duration(WashTime.Value), 0)
	return out
}

// TotalTime adds up the steps with these keys, with that many people. Powder is weighed while the pieces
// soak, so of those two the longer counts.
func TotalTime(steps []Step, keys []string, people int) (sum unit.Duration) {
	var soaking, mixing unit.Duration
	for _, key := range keys {
		for _, s := range steps {
			switch {
			case s.Key != key:
			case key == "soak":
				soaking = s.TimeFor(people)
			case key == "jugs":
				mixing = s.TimeFor(people)
			default:
				sum += s.TimeFor(people)
			}
		}
	}
	return sum + max(soaking, mixing)
}

// WorkTime is the time that hands spend on the whole batch, from folding to rinsing, however much of
// it is already done.
func WorkTime(s batch.State) unit.Duration {
	pieces := 0
	for _, p := range s.Pieces {
		pieces += p.Count
	}
	if pieces == 0 {
		return 0
	}
	return unit.Duration(SetUpTime.Value + float64(pieces)*(TieTime.Value+DyeTime.Value+RinseTime.Value) + float64(len(s.Colours))*JugTime.Value)
}

// quarter is the step in which times of the plan are given.
const quarter = 15 * zone.Minute

// LatestClosing returns the latest quarter of an hour at which bags can be closed so that readyAt of it
// is no later than wanted; readyAt returns 0 for never. It looks back as far as a week; 0 is none.
func LatestClosing(wanted zone.Instant, readyAt func(closed zone.Instant) zone.Instant) zone.Instant {
	last := zone.Instant(int64(wanted) / int64(quarter) * int64(quarter))
	low, high := 0, int(7*zone.Day/quarter) // quarters before wanted: high is early enough if any is
	isEarly := func(n int) bool {
		ready := readyAt(last.Add(-zone.Span(n) * quarter))
		return ready != 0 && ready <= wanted
	}
	if !isEarly(high) {
		return 0
	}
	for low < high {
		if middle := (low + high) / 2; isEarly(middle) {
			high = middle
		} else {
			low = middle + 1
		}
	}
	return last.Add(-zone.Span(low) * quarter)
}

// RoundUp rounds a time up to a quarter of an hour, RoundDown down.
func RoundUp(i zone.Instant) zone.Instant {
	return zone.Instant(math.Ceil(float64(i)/float64(quarter))) * zone.Instant(quarter)
}

// RoundDown rounds a time down to a quarter of an hour.
func RoundDown(i zone.Instant) zone.Instant { return i / zone.Instant(quarter) * zone.Instant(quarter) }
