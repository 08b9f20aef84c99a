//go:build unix

package bags_test

import (
	"strings"
	"testing"

	"coldbatch/internal/hubtest"
	"coldbatch/internal/journal"
	"coldbatch/internal/phonetest"
)

// With the program stopped or hanging the phone goes on: labels, open batches and sums
// open, a bag is closed, and that bag is on the program when it is back. A phone that never
// saw the batch opens its label: with the program there it shows how the bag stands now,
// without it what the label itself says.
func TestPhonesGoOnAlone(t *testing.T) {
	t.Parallel()
	h, p, batch := phonetest.StartPlanned(t)
	p.GoTo(batch + "/bagging")
	p.Tap("Close bag 1")
	p.Tap("Label of bag 1")
	label := phonetest.PathOf(t, p.ReadCode("dialog .qr"))
	p.Tap("Close")
	p.Tap("I had a look")
	p.WaitForSync()
	p.WaitForInstall()

	stranger := phonetest.NewPhone(t, h.URL())
	stranger.BlockSync()
	stranger.Open(label)
	stranger.WaitForText("From the hub, as of now", "keep wet and warm", "about")
	stranger.GoTo("/scan")
	stranger.GoTo(strings.ToLower(label))
	stranger.WaitForText("From the hub, as of now", "keep wet and warm", "about")
	stranger.WaitForInstall()

	p.AllowNetworkErrors()
	stranger.AllowNetworkErrors()
	h.Stop()
	stranger.Open(label)
	stranger.WaitForText("As printed on the label", "keep wet and warm", "RU", "about")
	stranger.Open(strings.ToLower(label))
	stranger.WaitForText("As printed on the label", "keep wet and warm", "RU", "about")
	stranger.GoTo("/b/XYZ")
	stranger.WaitForText("Not a bag’s code")
	stranger.Close()

	useAlone(p, batch, "1 bag", label)
	p.Open(batch + "/bagging")
	p.Tap("Close bag 2")
	p.WaitForText("Bag 2 closed", "1 to send")
	p.Reload()
	p.WaitForText("Bag 3", "1 to send")
	h.Start()
	hubtest.WaitUntil(t, "bag 2 on the program", func() bool { return h.CountFacts(journal.KindBagClosed) == 2 })
	p.WaitForSync()

	h.Freeze()
	useAlone(p, batch, "2 bags", label)
	p.Open(batch + "/bagging")
	p.Tap("Close bag 3")
	p.WaitForText("Bag 3 closed", "1 to send")
	p.Reload()
	p.WaitForText("Every piece is in a bag", "1 to send")
	h.Thaw()
	hubtest.WaitUntil(t, "bag 3 on the program", func() bool { return h.CountFacts(journal.KindBagClosed) == 3 })
	p.WaitForSync()
}

// useAlone uses the phone while the hub is down: bag 1 by its label,
// the batch, which shows how many bags it has, today, and a sum.
func useAlone(p *phonetest.Phone, batch, bags, label string) {
	p.T.Helper()
	p.Open(label)
	p.WaitForText("Bag 1", "keep wet and warm")
	p.Open(batch)
	p.WaitForText("Picnic cloths", bags)
	p.GoTo(strings.ToLower(label))
	p.WaitForText("Bag 1", "keep wet and warm")
	p.GoTo("/")
	p.WaitForText("Picnic cloths", "keep wet and warm")
	p.GoTo("/sums/bottle")
	p.Fill("Strength", "6.2 g per 8 fl oz")
	p.Fill("Volume in each bottle", "2 fl oz")
	p.WaitForText("1.55 g")
}
