package hub

import (
	"fmt"
	"strconv"

	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

// clockKey holds the latest time that the hub's clock has shown, in ms, about to the
// minute.
const clockKey = "clock"

// latestTime returns the latest time that the hub's clock has shown, which is now unless
// it was set back. Stamps are judged by it: a computer that starts with an old clock, as
// one without a battery does, must not take what it wrote itself for stamped ahead.
func (h *Hub) latestTime() zone.Instant {
	now := h.system.Now()
	h.mu.Lock()
	defer h.mu.Unlock()
	h.latestTimeShown = max(h.latestTimeShown, now)
	return h.latestTimeShown
}

// readClock reads the latest time that the clock had shown. A journal from before that
// was stored tells when a phone was seen last.
func readClock(j Journal, a accessList) (latest zone.Instant, err error) {
	for _, c := range a.Phones {
		latest = max(latest, c.LastSeen)
	}
	err = j.View(func(tx Tx) error {
		if b := tx.Meta(clockKey); len(b) > 0 {
			ms, _ := strconv.ParseInt(string(b), 10, 64) // an unreadable one counts as none: it is stored again
			latest = max(latest, zone.Instant(ms))
		}
		return nil
	})
	return latest, err
}

// ReadLatestTime reads the latest time, about to the minute, that the clock of the hub of
// j had shown when it last wrote; 0 where it never did.
func ReadLatestTime(j Journal) (latest zone.Instant, err error) { return readClock(j, accessList{}) }

// storeClock stores the latest time, where its minute differs from the stored one.
func (w *factWriter) storeClock() error {
	ms, err := strconv.ParseInt(string(w.tx.Meta(clockKey)), 10, 64)
	if err == nil && w.latestTime.Sub(zone.Instant(ms)) < zone.Minute {
		return nil
	}
	return w.tx.SetMeta(clockKey, fmt.Append(nil, int64(w.latestTime)))
}

// recoverStamp sets back a logical clock that a fact stamped ahead has advanced, as
// earlier versions allowed: to the highest stamp in the journal that is not ahead.
func (w *factWriter) recoverStamp() error {
	if !w.author.LatestStamp.IsAhead(w.latestTime) {
		return nil
	}
	w.author.LatestStamp = journal.Stamp{}
	return w.tx.Since(0, func(_ uint64, f journal.Fact) bool {
		if w.author.LatestStamp.Less(f.Stamp) && !f.Stamp.IsAhead(w.latestTime) {
			w.author.LatestStamp = f.Stamp
		}
		return true
	})
}

// checkStamp returns a fault when f is stamped ahead of now. A removal of a phone passes:
// it holds whatever its stamp, and must not wait.
func checkStamp(f journal.Fact, now zone.Instant) error {
	if !f.Stamp.IsAhead(now) || f.Kind == kindRevoked {
		return nil
	}
	days := int64(f.Stamp.Milliseconds.Sub(now) / zone.Day)
	ahead := fmt.Sprintf("%d days", days)
	if days == 1 {
		ahead = "1 day"
	}
	return fault.New(fault.Refused, "this entry was written with a clock that is %s ahead; the owner decides whether to accept it", ahead).
		WithHint("set the clock of the phone, or of this computer, right")
}

// orderAheadFirst is journal.OrderAheadFirst for values that are not cached by time.
func orderAheadFirst(facts []journal.Fact, now zone.Instant) []journal.Fact {
	facts, _ = journal.OrderAheadFirst(facts, now)
	return facts
}
