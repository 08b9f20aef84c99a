//go:build unix

package bags_test

import (
	"fmt"
	"slices"

	"coldbatch/internal/batch"
	"coldbatch/internal/batchview"
	"coldbatch/internal/journal"
	"coldbatch/internal/phonetest"
)

// closeFirstThird closes 8 bags: one on each phone, five alike by one tap, and one more.
func (s *twoPhones) closeFirstThird() {
	p := s.owner
	p.GoTo(s.path + "/bagging")
	s.waitForCard(p)
	picture(p, "bagging-1")
	if n := phonetest.Evaluate[int](p, `document.querySelectorAll('fieldset input[type=radio]:checked').length`); n > 1 { // the piece's
		s.Errorf("a place is chosen before anybody chose one")
	}
	p.Tap("shed…")
	s.closeBag(p)
	s.helper.WaitForText("shed") // a helper sees the places in which bags stand
	taps := s.helper.Taps
	s.helper.Tap("shed…")
	s.closeBag(s.helper)
	if n := s.helper.Taps - taps; n > 2 {
		s.Errorf("the second bag took %d taps", n)
	}
	s.waitForCard(p)
	p.Tap("Same for the next 5")
	p.WaitForText("Bags 2 to 6 closed")
	s.closeBag(s.helper)
	s.waitForBags(8)
}

// closeMiddleThird closes 8 bags while the helper's phone does not reach the program.
func (s *twoPhones) closeMiddleThird() {
	s.helper.WaitForInstall()
	s.helper.GoOffline()
	for range 4 {
		s.closeBag(s.owner)
		s.closeBag(s.helper)
	}
	s.helper.WaitForText("4 to send")
	picture(s.helper, "bagging-offline")
	s.helper.GoOnline()
	s.waitForBags(16)
}

// closeLastThird closes the last 8 bags in turn; what the helper has in hand shows on the owner's phone.
func (s *twoPhones) closeLastThird() {
	s.helper.Tap("I have it in hand…")
	s.helper.WaitForText("you have 1 since")
	s.owner.Tap("Another piece, or more in one bag")
	s.owner.WaitForText("1 with porch phone")
	s.closeBag(s.helper)
	s.waitForBags(17)
	s.closeBag(s.owner)
	s.waitForBags(18)
	for range 3 {
		s.closeBag(s.helper)
		s.closeBag(s.owner)
	}
	s.waitForBags(24)
	for _, p := range s.phones() {
		p.WaitForText("Every piece is in a bag")
	}
}

// waitForCard waits until a phone shows what the core says about the bag that it closes next, and returns its number.
func (s *twoPhones) waitForCard(p *phonetest.Phone) (number string) {
	s.Helper()
	s.waitForFigures(p, func() []string {
		v := s.view(p)
		if v.NextClosing == nil {
			s.Fatal("no bag is to be closed")
		}
		number = v.NextClosing.Number
		item := v.Queue[slices.IndexFunc(v.Queue, func(q batchview.QueueItem) bool { return q.Piece == v.NextClosing.Piece })]
		figures := []string{"close bag " + number, item.Words, fmt.Sprintf("%d left", item.LeftCount)}
		for _, c := range item.Colours {
			figures = append(figures, c.Name, c.CapLetters, c.Amount, c.Squeeze)
		}
		return figures
	})
	return number
}

// closeBag closes the next bag of a phone, in at most two taps and without typing; a silk one asks.
func (s *twoPhones) closeBag(p *phonetest.Phone) {
	s.Helper()
	number := s.waitForCard(p)
	taps, typed := p.Taps, p.Typed
	p.Tap("Close bag " + number)
	closed := fmt.Sprintf(`document.querySelector('.toast')?.innerText.includes('Bag %s closed')`, number)
	p.WaitFor("the bag to be closed, or a question", `document.querySelector('.question') || `+closed)
	if phonetest.Evaluate[bool](p, `Boolean(document.querySelector('.question'))`) {
		p.WaitForText("not for silk")
		p.CheckFocus("at a question")
		picture(p, "silk")
		p.Tap("Yes, go on")
	}
	p.WaitFor("bag "+number+" to be closed", closed)
	p.CheckFocus("after a bag")
	if n := p.Taps - taps; n > 2 || p.Typed > typed {
		s.Errorf("bag %s took %d taps and %d typed values", number, n, p.Typed-typed)
	}
}

// compare holds both phones and the core, with the program's facts, against each other.
func (s *twoPhones) compare() {
	state := batch.Build(slices.DeleteFunc(s.hub.Facts(), func(f journal.Fact) bool { return f.Scope != journal.Scope(s.path[1:]) }))
	numbers := map[string]bool{}
	for _, b := range state.Bags {
		numbers[fmt.Sprint(b.Number, b.Letter)] = true
		if b.Stays[0].Place == "" || len(b.Colours) == 0 {
			s.Errorf("bag %d has no place or no colours", b.Number)
		}
	}
	if len(state.Bags) != 24 || len(numbers) != 24 {
		s.Errorf("%d bags with %d numbers", len(state.Bags), len(numbers))
	}
	for _, piece := range state.Pieces {
		if n := state.CountBagged(piece.ID); n != piece.Count {
			s.Errorf("%d of %d are in bags: %+v", n, piece.Count, piece)
		}
	}
	for _, p := range s.phones() {
		p.GoTo(s.path)
		p.WaitForText("Bags")
		p.Scroll(`document.querySelector('.tags').scrollIntoView({block: 'end'})`) // a long list draws the rest then
		p.WaitFor("24 tags", `document.querySelectorAll('.tags .bag-number').length === 24`)
		s.waitForFigures(p, func() []string {
			_, e := s.state(p)
			v := batchview.ViewBatch(state, e)
			figures := []string{v.StageText, v.WeightText, "silk"}
			for _, step := range v.Steps {
				figures = append(figures, step.Detail)
			}
			for _, b := range v.Bags {
				figures = append(figures, fmt.Sprintf("%s %s", b.Contents, b.PlaceName))
			}
			return figures
		})
	}
	s.owner.Scroll(`document.querySelector('.tags').scrollIntoView()`)
	picture(s.owner, "batch-many")
}
