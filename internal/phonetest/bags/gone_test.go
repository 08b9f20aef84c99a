//go:build unix

package bags_test

import (
	"coldbatch/internal/hubtest"
	"coldbatch/internal/journal"
	"coldbatch/internal/phonetest"
	"strings"
	"testing"
)

// With the program stopped or hanging the phone goes on: labels, open batches
// and sums open, a bag is closed, and that bag is on the program when it is back.
func TestPhoneGoesOnAlone(t *testing.T) {
	t.Parallel()
	for _, way := range []struct {
		name         string
		cut, restore func(*hubtest.Hub)
	}{
		{"stopped", (*hubtest.Hub).Stop, (*hubtest.Hub).Start},
		{"hanging", (*hubtest.Hub).Freeze, (*hubtest.Hub).Thaw},
	} {
		t.Run(way.name, func(t *testing.T) {
			t.Parallel()
			h := hubtest.Start(t)
			p := phonetest.NewPhone(t, h.URL())
			p.Open("/")
			batch := p.RecordPlan("Picnic cloths")
			p.Open(batch + "/bagging")
			p.Tap("Close bag 1")
			p.Tap("Label of bag 1")
			label := phonetest.PathOf(t, p.ReadCode("dialog .qr"))
			p.WaitForSync()
			p.WaitForInstall()

			p.AllowOffline()
			way.cut(h)
			p.Open(label)
			p.WaitForText("Bag 1", "keep wet and warm")
			p.Open(strings.ToLower(label))
			p.WaitForText("Bag 1", "keep wet and warm")
			p.Open(batch)
			p.WaitForText("Picnic cloths", "1 bag")
			p.Open("/")
			p.WaitForText("Picnic cloths", "keep wet and warm")
			p.Open("/sums/bottle")
			p.Fill("Strength", "6.2 g per 8 fl oz")
			p.Fill("Volume in each bottle", "2 fl oz")
			p.WaitForText("1.55 g")
			p.Open(batch + "/bagging")
			p.Tap("Close bag 2")
			p.WaitForText("Bag 2 closed", "1 to send")
			p.Reload()
			p.WaitForText("Bag 3", "1 to send")

			way.restore(h)
			hubtest.WaitUntil(t, "bag 2 on the program", func() bool { return h.CountFacts(journal.KindBagClosed) == 2 })
			p.WaitForSync()
		})
	}
}

// A phone that never saw the batch opens its label: with the program there it
// shows how the bag stands now, without it what the label itself says.
func TestLabelOnAPhoneThatNeverSawTheBatch(t *testing.T) {
	t.Parallel()
	h := hubtest.Start(t)
	stranger := phonetest.NewPhone(t, h.URL())
	stranger.BlockSync()
	stranger.Open("/scan")
	stranger.WaitForInstall()

	p := phonetest.NewPhone(t, h.URL())
	p.Open("/")
	p.Open(p.RecordPlan("Picnic cloths") + "/bagging")
	p.Tap("Close bag 1")
	p.Tap("Label of bag 1")
	label := phonetest.PathOf(t, p.ReadCode("dialog .qr"))
	p.Tap("Close")
	p.Tap("I had a look")
	p.WaitForSync()

	for _, code := range []string{label, strings.ToLower(label)} {
		stranger.Open(code)
		stranger.WaitForText("As the hub has it now", "keep wet and warm", "about")
	}
	p.AllowOffline()
	stranger.AllowOffline()
	h.Stop()
	for _, code := range []string{label, strings.ToLower(label)} {
		stranger.Open(code)
		stranger.WaitForText("As printed on the label", "keep wet and warm", "RU", "about")
	}
	stranger.Open("/b/XYZ")
	stranger.WaitForText("Not a bag’s code")
}
