//go:build unix

package bags_test

import (
	"time"

	"coldbatch/internal/journal"
)

// rinse opens, rinses and finishes all bags on the owner's phone, days later and without the program.
func (s *twoPhones) rinse() {
	p := s.owner
	p.WaitForInstall()
	for _, p := range s.phones() {
		p.AllowNetworkErrors()
	}
	s.hub.Stop()
	p.AdvanceClock(80 * time.Hour)
	p.Open("/")
	p.WaitForText("While the app was closed")
	p.WaitFor("the alarm to take a tap", `document.querySelector('dialog[open] .button')?.getAttribute('aria-disabled') !== 'true'`)
	p.Tap("OK") // the alarm that rang meanwhile
	p.WaitFor("the alarm to close", `!document.querySelector('dialog[open]')`)
	p.WaitForText("Several bags at once")
	picture(p, "today-many")
	p.SetAppearance("dark", 390, 844, 16)
	picture(p, "today-many-dark")
	taps := p.Taps
	p.Tap("Several bags at once…")
	p.Tap("Ready to rinse (24)")
	p.WaitForText("24 bags")
	picture(p, "many-bags-dark")
	p.Tap("Open 24")
	p.WaitForText("24 bags opened")
	p.Tap("Undo")
	p.WaitForText("Undone")
	if n := len(p.RecordedBodies(s.path, journal.KindBagOpened)); n != 0 {
		s.Errorf("after one undo %d bags are open", n)
	}
	p.Tap("Open 24")
	p.Tap("Mark rinsed 24")
	p.Tap("Mark washed and dry 24")
	p.WaitForText("24 bags washed and dry")
	if n := p.Taps - taps; n > 15 {
		s.Errorf("rinsing 24 bags took %d taps", n)
	}
	for _, kind := range []string{journal.KindBagOpened, journal.KindBagRinsed, journal.KindBagDone} {
		if n := len(p.RecordedBodies(s.path, kind)); n != 24 {
			s.Errorf("%d bags have %s", n, kind)
		}
	}
}

// noteTemperature notes on the owner's phone how warm the shed is.
func (s *twoPhones) noteTemperature() {
	p := s.owner
	p.GoTo("/")
	taps := p.Taps
	p.Tap("shed…")
	p.Tap("A thermometer there shows: warmer")
	p.Tap("It is…")
	p.WaitForText("°C saved")
	if n := p.Taps - taps; n > 3 {
		s.Errorf("a temperature took %d taps", n)
	}
}
