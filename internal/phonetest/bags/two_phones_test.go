//go:build unix

package bags_test

import (
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"coldbatch/internal/batch"
	"coldbatch/internal/batchview"
	"coldbatch/internal/hubtest"
	"coldbatch/internal/journal"
	"coldbatch/internal/phonetest"
)

// An owner and a helper take a batch from the plan to the washed pieces: 24 pieces, 6 colours, a blend and a silk;
// the helper's phone is cut off for the middle third of the bags. The figures on both screens are those of the core
// as it runs on this machine. What a hand has to do is counted: from the second on a bag takes at most two taps and
// no typing, the silk one included; all are rinsed in at most 15 taps, which one tap undoes; a temperature takes at
// most three.
func TestTwentyFourBagsByTwoPhones(t *testing.T) {
	if os.Getenv("COLDBATCH_LONG") == "" {
		t.Skip("two phones take minutes: it runs with COLDBATCH_LONG=1, as .ci/run --long does")
	}
	t.Parallel()
	h := hubtest.StartOnNetwork(t)
	browser := phonetest.TrustingBrowser(t, h.AuthorityFile())
	s := &twoPhones{T: t, hub: h, owner: phonetest.NewPhoneIn(t, browser, h.AppURL()), helper: phonetest.NewPhoneIn(t, browser, h.AppURL())}
	for _, step := range []struct {
		name string
		play func()
	}{
		{"pair", s.pair}, {"plan", s.plan}, {"mix", s.mix}, {"measure the squeeze bottle", s.measureBottle},
		{"close the first third", s.closeFirstThird}, {"close the middle third", s.closeMiddleThird},
		{"close the last third", s.closeLastThird}, {"compare", s.compare}, {"rinse", s.rinse},
		{"note a temperature", s.noteTemperature},
	} {
		begin, taps := time.Now(), s.owner.Taps+s.helper.Taps
		step.play()
		t.Logf("%s: %d taps, %.1f s", step.name, s.owner.Taps+s.helper.Taps-taps, time.Since(begin).Seconds())
	}
}

// twoPhones is a batch that is played on two phones.
type twoPhones struct {
	*testing.T
	hub           *hubtest.Hub
	owner, helper *phonetest.Phone
	path          string // of the batch
}

func (s *twoPhones) phones() []*phonetest.Phone { return []*phonetest.Phone{s.owner, s.helper} }

// pair pairs the owner's phone, records the plan on it and has the helper join by the batch's code.
func (s *twoPhones) pair() {
	s.owner.Pair(s.hub.Invite(), "kitchen phone")
	s.owner.SetAppearance("light", 360, 640, 16)
	s.path = phonetest.Evaluate[string](s.owner, recordLargePlan)
	s.owner.GoTo(s.path + "/share")
	s.owner.Tap("Share with helpers")
	s.owner.WaitForText("Valid for any number of phones")
	code := phonetest.Evaluate[string](s.owner, `document.querySelector('.join-code .to-type b').innerText`)
	s.helper.Open("/join")
	s.helper.SetAppearance("dark", 360, 640, 16)
	s.helper.Fill("Code", code)
	s.helper.Fill("Name of this phone", "porch phone")
	s.helper.Tap("Pair this phone")
	s.helper.WaitForText("It helps with")
	s.helper.Tap("Go to the batch")
	s.helper.WaitForText("Street fair", "synced")
}

// state returns the batch as the core on this machine builds it from the facts of a phone, and what the phone tells
// the core with every question.
func (s *twoPhones) state(p *phonetest.Phone) (batch.State, batchview.ViewEnv) {
	s.Helper()
	facts := phonetest.Evaluate[[]journal.Fact](p, `appModule('/journal/facts.js').then(m => m.factsOfScope('`+s.path[1:]+`'))`)
	return batch.Build(facts), phonetest.Evaluate[batchview.ViewEnv](p, `appModule('/journal/env.js').then(m => m.coreEnv())`)
}

// view is what the core on this machine shows of the batch of a phone.
func (s *twoPhones) view(p *phonetest.Phone) batchview.BatchView {
	s.Helper()
	return batchview.ViewBatch(s.state(p))
}

// waitForFigures waits until the screen shows the figures that the core gives; both may change meanwhile, as the
// other phone goes on.
func (s *twoPhones) waitForFigures(p *phonetest.Phone, figures func() []string) {
	s.Helper()
	var missing []string
	for end := time.Now().Add(hubtest.WaitTimeout); time.Now().Before(end); time.Sleep(100 * time.Millisecond) {
		text := showAsLine(phonetest.Evaluate[string](p, `document.body.innerText`))
		missing = slices.DeleteFunc(figures(), func(f string) bool { return strings.Contains(text, showAsLine(f)) })
		if len(missing) == 0 {
			return
		}
	}
	s.Fatalf("the screen does not show %q", missing)
}

// showAsLine writes a text in small letters, with single spaces.
func showAsLine(text string) string { return strings.ToLower(strings.Join(strings.Fields(text), " ")) }

// waitForBags waits until both phones have n bags and everything is synced.
func (s *twoPhones) waitForBags(n int) {
	s.Helper()
	for _, p := range s.phones() {
		p.WaitForSync()
		for end := time.Now().Add(hubtest.WaitTimeout); ; time.Sleep(100 * time.Millisecond) {
			got := len(p.RecordedBodies(s.path, journal.KindBagClosed))
			if got == n {
				break
			}
			if time.Now().After(end) {
				s.Fatalf("a phone has %d bags, not %d", got, n)
			}
		}
	}
}
