package hub

import (
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
)

// factAuthors finds who wrote a fact, and who began a subject: in the same request, or
// in the journal, which takes precedence over the request.
type factAuthors struct {
	tx         Tx
	byFact     map[journal.ID]journal.ID
	bySubject  map[journal.ID]journal.ID // that a fact of the journal begins
	scopesRead map[journal.Scope]bool
	bagEntries map[bagWriter]int // entries about bags, by bag and writer
}

type bagWriter struct{ bag, device journal.ID }

// maxBagEntries is how many entries about one bag a helper may record (judgement: a bag is moved, weighed and rinsed some
// dozens of times at most). With many more, every screen that shows the bag would be slow.
const maxBagEntries = 150

// isAboutBag says whether a fact changes a bag that is closed already.
func isAboutBag(f journal.Fact) bool {
	k, known := journal.FindKind(f.Kind)
	return known && k.Subject == journal.EntityBag && k.Effect != journal.EffectBegins
}

// newFactAuthors returns the authors of the facts of a request.
func newFactAuthors(tx Tx, facts []journal.Fact) factAuthors {
	a := factAuthors{tx, map[journal.ID]journal.ID{}, map[journal.ID]journal.ID{}, map[journal.Scope]bool{}, map[bagWriter]int{}}
	for _, f := range facts {
		a.byFact[f.ID] = f.Device
	}
	return a
}

// readScope reads who wrote the facts of a scope, once.
func (a factAuthors) readScope(scope journal.Scope) error {
	if a.scopesRead[scope] {
		return nil
	}
	facts, err := a.tx.Scope(scope)
	if err != nil {
		return err
	}
	for _, x := range facts {
		a.byFact[x.ID] = x.Device
		if isAboutBag(x) {
			a.bagEntries[bagWriter{x.Subject, x.Device}]++
		}
		if beginsSubject(x) && a.bySubject[x.Subject] == "" {
			a.bySubject[x.Subject] = x.Device
		}
	}
	a.scopesRead[scope] = true
	return nil
}

// beginsSubject says whether a fact is of a kind that begins its subject.
func beginsSubject(f journal.Fact) bool {
	k, known := journal.FindKind(f.Kind)
	return known && k.Effect == journal.EffectBegins
}

// check returns a fault when f withdraws or restores a fact that who may not withdraw, or
// begins what another phone has begun. What is not known yet passes: in a batch, a
// helper's withdrawal of another's fact has no effect.
func (a factAuthors) check(who rights.Asker, f journal.Fact) error {
	if beginsSubject(f) {
		if err := a.readScope(f.Scope); err != nil {
			return err
		}
		if author := a.bySubject[f.Subject]; author != "" {
			return rights.CheckBeginning(who, author)
		}
		return nil
	}
	if isAboutBag(f) {
		return a.countBagEntry(f)
	}
	target, isTargeted := f.Target()
	if !isTargeted {
		return nil
	}
	if a.tx.Has(target) {
		if err := a.readScope(f.Scope); err != nil {
			return err
		}
	}
	if author, known := a.byFact[target]; known {
		return rights.CheckWithdrawal(who, author)
	}
	return nil
}

// countBagEntry counts an entry about a bag, and returns a fault where its writer has recorded too many about that bag.
func (a factAuthors) countBagEntry(f journal.Fact) error {
	if err := a.readScope(f.Scope); err != nil {
		return err
	}
	w := bagWriter{f.Subject, f.Device}
	if a.bagEntries[w] >= maxBagEntries {
		return fault.New(fault.Refused, "this helper's phone has recorded %d entries about one bag, and cannot record more", maxBagEntries).
			WithHint("what it records after that stays on that phone")
	}
	a.bagEntries[w]++
	return nil
}
