package simulation

import (
	"encoding/json"
	"fmt"
	"strings"

	"pgregory.net/rapid"

	"coldbatch/internal/api"
	"coldbatch/internal/batch"
	"coldbatch/internal/batchview"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
)

// What people write on their phones. Each returns what was done, in words, or "" where
// there was nothing to do it to.

// writeAny is what anyone writes in a batch.
func (p *phone) writeAny(t *rapid.T) string {
	id, ok := drawOne(t, "batch", p.batches(), func(journal.ID) bool { return true })
	if !ok {
		return ""
	}
	scope := journal.BatchScope(id)
	s := batch.Build(p.factsOf(scope))
	on := func(kind string, body any) string {
		b, ok := drawOne(t, "bag", s.Bags, func(batch.Bag) bool { return true })
		if !ok {
			return ""
		}
		p.record(journal.Draft{Scope: scope, Subject: b.ID, Kind: kind, Body: mustMarshal(body)})
		return fmt.Sprintf("writes %s of bag %d%s", kind, b.Number, b.Letter)
	}
	switch rapid.IntRange(0, 8).Draw(t, "work") {
	default:
		return p.closeBag(t, s)
	case 4:
		return on(journal.KindBagMoved, journal.BagMoved{Place: p.drawPlace(t)})
	case 5:
		return on(journal.KindBagOpened, journal.BagOpened{})
	case 6:
		return p.withdraw(t, scope, journal.KindFactWithdrawn)
	case 7:
		return p.withdraw(t, scope, journal.KindFactRestored)
	case 8:
		name := fmt.Sprint("name ", p.name, len(p.rows))
		p.record(journal.Draft{Scope: scope, Subject: id, Kind: journal.KindBatchChanged, Body: mustMarshal(journal.BatchChanged{Name: &name})})
		return "calls the batch " + name
	}
}

// drawPlace is one that it knows, or none.
func (p *phone) drawPlace(t *rapid.T) journal.ID {
	scope, _ := drawOne(t, "place", p.scopes("place"), func(journal.Scope) bool { return true })
	return scope.Place()
}

func (p *phone) closeBag(t *rapid.T, s batch.State) string {
	b := journal.BagClosed{Place: p.drawPlace(t)}
	for _, x := range s.Pieces {
		b.Pieces = append(b.Pieces, journal.PieceInBag{Piece: x.ID, Count: 1})
	}
	for _, x := range s.Colours {
		b.Colours = append(b.Colours, journal.ColourInBag{Colour: x.ID})
	}
	if len(b.Pieces) == 0 || len(b.Colours) == 0 {
		return ""
	}
	d, err := batchview.DraftBag(s, batchview.ViewEnv{Device: p.device, NumberLetter: p.letter}, b, "")
	if err != nil {
		return "has no number for a bag"
	}
	b = d.Closed
	p.record(journal.Draft{Scope: journal.BatchScope(s.ID), Kind: journal.KindBagClosed, Body: mustMarshal(b)})
	p.w.countEvent(b.Letter == "", "a bag has a number of a lease")
	p.w.countEvent(b.Letter != "", "a bag has the letter of its phone")
	return fmt.Sprintf("closes bag %d%s", b.Number, b.Letter)
}

func (p *phone) withdraw(t *rapid.T, scope journal.Scope, kind string) string {
	f, ok := drawOne(t, "fact", p.factsOf(scope), func(journal.Fact) bool { return true })
	if !ok {
		return ""
	}
	_, subject := scope.Split()
	p.record(journal.Draft{Scope: scope, Subject: subject, Kind: kind, Body: mustMarshal(journal.FactTarget{Target: f.ID})})
	return fmt.Sprintf("writes %s of %s by %s", kind, f.Kind, p.w.nameOf(f.Device))
}

// beginBatchOrPlace starts a batch with what it takes to close a bag.
func (p *phone) beginBatchOrPlace(t *rapid.T) string {
	if len(p.batches()) > 2 {
		return ""
	}
	id := p.w.newID()
	scope := journal.BatchScope(id)
	p.record(journal.Draft{Scope: scope, Subject: id, Kind: journal.KindBatchStarted, Body: mustMarshal(journal.BatchStarted{Name: "market", Secret: p.w.newID()})},
		journal.Draft{Scope: scope, Kind: journal.KindPieceAdded, Body: mustMarshal(journal.PieceAdded{Kind: "t-shirt", Count: 6, Grams: 180})},
		journal.Draft{Scope: scope, Kind: journal.KindColourChosen, Body: json.RawMessage(`{"name":"rust","caps":"RU","rgb":"#a04020","class":"dichlorotriazine","strength":26,"depth":1}`)})
	return "begins a batch"
}

// writeHouseFact writes a fact that is not about a batch, as an owner.
func (p *phone) writeHouseFact(t *rapid.T) string {
	switch rapid.IntRange(0, 5).Draw(t, "house") {
	case 0, 1:
		scope := journal.PlaceScope(p.drawPlace(t))
		if scope.Place() == "" || len(p.scopes("place")) < 3 && drawChance(t, "another place", 3) {
			scope = journal.PlaceScope(p.w.newID())
			p.record(journal.Draft{Scope: scope, Subject: scope.Place(), Kind: journal.KindPlaceNamed, Body: mustMarshal(journal.PlaceNamed{Name: "shed"})})
			return "names a place"
		}
		p.record(journal.Draft{Scope: scope, Subject: scope.Place(), Kind: journal.KindPlaceRead, Body: mustMarshal(journal.TemperatureReading{Celsius: 18})})
		return "reads a temperature"
	case 2:
		p.record(journal.Draft{Scope: journal.ShelfScope, Kind: journal.KindStockKnown, Body: json.RawMessage(`{"sort":"alkali","name":"soda ash","unit":"g"}`)})
		return "has soda ash"
	case 3:
		return p.share(t)
	case 4:
		return p.removeOrRestorePhone(t)
	default:
		p.record(journal.Draft{Scope: journal.HouseScope, Subject: p.device, Kind: journal.KindDeviceNamed, Body: mustMarshal(journal.DeviceNamed{Name: p.name})})
		return "says what it is called"
	}
}

// share starts or ends the sharing of a batch.
func (p *phone) share(t *rapid.T) string {
	id, ok := drawOne(t, "batch", p.batches(), func(journal.ID) bool { return true })
	if !ok {
		return ""
	}
	scope := journal.BatchScope(id)
	if len(batch.Build(p.factsOf(scope)).ShareCodes) > 0 && drawChance(t, "end it", 4) {
		p.record(journal.Draft{Scope: scope, Subject: id, Kind: journal.KindShareClosed, Body: mustMarshal(journal.NoteBody{})})
		return "ends the sharing of a batch"
	}
	p.record(p.openShare(id))
	return "shares a batch"
}

func (p *phone) openShare(id journal.ID) journal.Draft {
	var random [10]byte
	p.w.random.fill(random[:])
	code := strings.ReplaceAll(journal.NewCode(random), "-", "")
	p.w.codes[id] = code
	return journal.Draft{Scope: journal.BatchScope(id), Subject: id, Kind: journal.KindShareOpened, Body: mustMarshal(journal.ShareOpened{Hash: factsHash(code)})}
}

// removeOrRestorePhone removes another phone, or gives it access again.
func (p *phone) removeOrRestorePhone(t *rapid.T) string {
	if x, ok := drawOne(t, "phone", p.revoked(), func(journal.Fact) bool { return true }); ok {
		p.restorePhone(x)
		return "lets " + p.w.nameOf(x.Subject) + " in again"
	}
	other, ok := drawOne(t, "phone", p.w.phones[1:], func(x *phone) bool { return x != p && !x.isLocalBrowser })
	if !ok {
		return ""
	}
	p.record(journal.Draft{Scope: journal.HouseScope, Subject: other.device, Kind: journal.KindDeviceRevoked, Body: mustMarshal(journal.NoteBody{})})
	return "lets " + other.name + " out"
}

// revoked returns the facts that revoke a phone's access.
func (p *phone) revoked() (facts []journal.Fact) {
	for _, f := range journal.Effective(p.factsOf(journal.HouseScope), nil) {
		if f.Kind == journal.KindDeviceRevoked {
			facts = append(facts, f)
		}
	}
	return facts
}

func (p *phone) restorePhone(x journal.Fact) {
	p.record(journal.Draft{Scope: journal.HouseScope, Subject: x.Subject, Kind: journal.KindFactWithdrawn, Body: mustMarshal(journal.FactTarget{Target: x.ID})})
}

// writeUnknownKind writes a fact of an unknown kind, which all programs must pass on unchanged.
func (p *phone) writeUnknownKind(t *rapid.T) string {
	id, ok := drawOne(t, "batch", p.batches(), func(journal.ID) bool { return true })
	if !ok {
		return ""
	}
	a := journal.Author{Device: p.device, LatestStamp: p.latestStamp, Now: p.clock(), TZ: "Europe/Lisbon", Offset: p.offset, OffsetMeasured: p.offsetMeasured, Random: p.w.random.fill}
	facts, err := a.MakeFacts([]journal.Draft{{Scope: journal.BatchScope(id), Kind: journal.KindBagLooked, Body: mustMarshal(journal.BagLooked{})}})
	p.w.mustSucceed(err)
	p.latestStamp = a.LatestStamp
	later := strings.NewReplacer(`"bag.looked"`, `"bag.steamed"`, `"v":1,"need":1`, `"v":7,"need":9`, `"body":{`,
		`"later":{"b":[1,2.50,"<é>"],"a":null},"body":{"bar":1.0`).Replace(string(facts[0].Text()))
	var f journal.Fact
	p.w.mustSucceed(json.Unmarshal([]byte(later), &f))
	p.recordOwn([]journal.Fact{f})
	return "writes " + f.Kind + ", which no other knows"
}

// writeForbiddenFact writes a fact that a helper may not write; the hub must refuse it.
func (p *phone) writeForbiddenFact(t *rapid.T) string {
	id, ok := drawOne(t, "batch", p.batches(), func(journal.ID) bool { return true })
	if !ok {
		return ""
	}
	d := rapid.SampledFrom([]journal.Draft{
		{Scope: journal.BatchScope(id), Subject: id, Kind: journal.KindShareClosed, Body: mustMarshal(journal.NoteBody{})},
		{Scope: journal.BatchScope(p.w.newID()), Kind: journal.KindBatchFinished, Body: mustMarshal(journal.NoteBody{})},
		{Scope: journal.PlaceScope(p.drawPlace(t)), Kind: journal.KindPlaceRead, Body: mustMarshal(journal.TemperatureReading{Celsius: 50})},
		{Scope: journal.ShelfScope, Kind: journal.KindStockKnown, Body: json.RawMessage(`{"sort":"alkali","name":"soda ash","unit":"g"}`)},
		{Scope: journal.HouseScope, Subject: p.device, Kind: journal.KindDeviceRevoked, Body: mustMarshal(journal.NoteBody{})},
	}).Draw(t, "trespass")
	if d.Scope == journal.PlaceScope("") {
		return ""
	}
	for _, f := range p.record(d) {
		p.w.forbiddenFacts[f.ID] = true
	}
	return "forbiddenFacts by " + d.Kind
}

// pair lets a phone in: by an invitation from the computer, or with the share code
// of a batch.
func (p *phone) pair(t *rapid.T) string {
	w := p.w
	q := api.PairRequest{Device: p.device, Name: p.name}
	if p.isHelper {
		id, ok := drawOne(t, "batch", p.w.sharedBatches(), func(journal.ID) bool { return true })
		if !ok {
			return ""
		}
		q.Code = w.codes[id]
	} else {
		i, err := w.hub.Invite(ctx, w.hub.LocalAsker())
		w.mustSucceed(err)
		q.Code = i.Code
	}
	paired, err := w.hub.Pair(ctx, w.askerOf(p), q)
	if err == nil && drawChance(t, "the answer is lost", 5) {
		paired, err = w.hub.Pair(ctx, w.askerOf(p), q)
	}
	if fault.Is(err, fault.Refused) {
		return "is not let in"
	}
	w.mustSucceed(err)
	p.abandonRequest()
	p.token, p.letter = paired.Token, paired.Letter
	p.markWaiting("")
	return fmt.Sprintf("is let in as %s", paired.Asker.Role)
}
