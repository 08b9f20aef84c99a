package simulation

import (
	"fmt"

	"pgregory.net/rapid"

	"coldbatch/internal/batch"
	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

// forge makes a helper's phone write what no app writes: facts in the name of another
// phone or of the hub, or with a stamp of a century ahead. None may get into the journal.
func (p *phone) forge(t *rapid.T) string {
	id, ok := drawOne(t, "batch", p.batches(), func(journal.ID) bool { return true })
	if !ok {
		return ""
	}
	scope := journal.BatchScope(id)
	facts := p.factsOf(scope)
	claimed := journal.Author{Device: p.device, LatestStamp: p.latestStamp, Now: p.w.now.Add(100 * 365 * zone.Day), TZ: "Europe/Lisbon", Random: p.w.random.fill}
	if f, ok := drawOne(t, "fact of another", facts, func(f journal.Fact) bool { return f.Device != p.device }); ok && rapid.Bool().Draw(t, "as another") {
		claimed.Device, claimed.Now = f.Device, p.w.now
		if rapid.Bool().Draw(t, "before all others") {
			claimed.LatestStamp, claimed.Now = journal.Stamp{}, 1
		}
	}
	drafts := []journal.Draft{
		{Scope: scope, Subject: claimed.Device, Kind: journal.KindClockMeasured, Body: mustMarshal(journal.ClockMeasured{Offset: journal.MaxClockOffset})},
		{Scope: scope, Subject: p.device, Kind: journal.KindNumbersLeased, Body: mustMarshal(journal.NumbersLeased{Device: p.device, FirstNumber: 1, LastNumber: 1000})},
		{Scope: scope, Subject: id, Kind: journal.KindBatchStarted, Body: mustMarshal(journal.BatchStarted{Name: "other", Secret: p.w.newID()})},
		{Scope: scope, Subject: id, Kind: journal.KindShareClosed, Body: mustMarshal(journal.NoteBody{})},
	}
	for _, b := range batch.Build(facts).Bags {
		drafts = append(drafts, journal.Draft{Scope: scope, Subject: b.ID, Kind: journal.KindBagOpened, Body: mustMarshal(journal.BagOpened{})})
	}
	forged, err := claimed.MakeFacts([]journal.Draft{rapid.SampledFrom(drafts).Draw(t, "forged")})
	p.w.mustSucceed(err)
	p.addFacts(forged, stateWaiting)
	p.hasForged = true
	for _, f := range forged {
		p.w.forgedFacts[f.ID], p.aheadFacts[f.ID] = true, true
	}
	p.w.countEvent(true, "a helper forges a fact")
	return fmt.Sprintf("forges %s as %s", forged[0].Kind, p.w.nameOf(claimed.Device))
}

// checkNothingForged fails where the hub or a phone of the house has a forged fact.
func (w *simulatedHouse) checkNothingForged(t *rapid.T, all []journal.Fact) {
	for _, f := range all {
		if w.forgedFacts[f.ID] {
			t.Errorf("a forged %s in the name of %s was accepted", f.Kind, w.nameOf(f.Device))
		}
	}
	for _, p := range w.phones {
		for id, r := range p.rows {
			if w.forgedFacts[id] && !p.isHelper {
				t.Errorf("a forged %s in the name of %s reached %s", r.fact.Kind, w.nameOf(r.fact.Device), p.name)
			}
		}
	}
}
