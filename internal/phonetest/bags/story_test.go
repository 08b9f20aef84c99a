//go:build unix

package bags_test

import (
	"coldbatch/internal/phonetest"
	_ "image/png"
	"testing"
	"time"
)

// The whole job at phone size, from an empty file to a rinsed bag: one bag with
// the program there, the other with the program gone.
func TestBatchFromClothToRinsedBag(t *testing.T) {
	t.Parallel()
	h, p := phonetest.Start(t)
	p.WaitForText("Look at the example")
	p.Tap("New batch")
	p.Fill("Name", "Market tees")
	p.Tap("Start the batch")

	p.Tap("Tee, medium")
	p.Tap("How many: one more")
	p.Tap("spiral")
	p.Tap("Add 2 to the batch")
	p.WaitForText("2 tees")
	p.Tap("Pillowcase")
	p.Fill("Dry weight of one", "150 g")
	p.WaitForText("That is 5.3 oz")
	p.Tap("Add 1 to the batch")
	p.WaitForText("pillowcase", "150 g")
	p.Tap("Washed out")
	p.Tap("Choose the colours")

	p.Tap("rust")
	p.Fill("Strength at full depth", "6.2 g per 8 fl oz")
	p.WaitForText("26.2 g/L")
	p.Tap("vinyl sulfone…")
	p.Tap("Add rust")
	p.Tap("blue-green")
	p.Fill("Strength at full depth", "30 g/L")
	p.Tap("half")
	p.Tap("Add blue-green")
	p.Tap("On to the soak")

	p.Tap("Water: more")
	p.WaitForText("soda ash, anhydrous")
	p.Tap("It is mixed")
	p.Tap("The pieces are in")
	p.Tap("Out, and wrung")
	p.WaitForText("less than a minute")
	p.Tap("Yes, go on")
	p.Tap("On to the jugs")

	p.Fill("The scale shows", "14.2")
	p.WaitForText("too much")
	p.Fill("The scale shows", "13.1") // 26.2 g/L
	p.Tap("Mixed, made up to 500 mL")
	p.WaitForText("jug 2 of 2")
	p.Tap("Mixed, made up to 500 mL") // 7.5 g
	p.Tap("On to dyeing and bagging")

	p.WaitForText("Tee, medium, spiral", "2 left", "a side") // the first of the queue, in all colours
	p.Tap("Other colours")
	p.Tap("blue-green…") // not this one
	p.Tap("A new place")
	p.Fill("Name of the place", "shed")
	p.Tap("Add the place")
	p.WaitForText("shed added")
	p.Fill("Temperature there", "21")
	p.Tap("Close bag 1")
	p.WaitForText("Bag 1 closed", "Close bag 2", "Label of bag 1")
	p.Tap("Undo")
	p.WaitForText("Undone", "2 left") // and the number 1 is not given twice
	p.Tap("Redo")
	p.WaitForText("Restored", "1 left", "Label of bag 1")

	p.Tap("Another piece, or more in one bag")
	p.Tap("Of pillowcase: one more")
	p.Tap("More of one colour than another")
	p.Tap("Parts of rust: more")
	p.Tap("Close bag 2")
	p.WaitForText("Bag 2 closed", "Every piece is in a bag")

	p.Tap("Label of bag 2")
	p.WaitForText("keep wet and warm", "more", "about", "to be safe", "near 21 °C", "shed")
	address := p.ReadCode("dialog .qr")
	p.Tap("Print the label")
	p.WaitForText("at 100 %")
	if printed := p.ReadCode(".close-up svg"); printed != address {
		t.Errorf("printed is %s, on the screen it was %s", printed, address)
	}
	p.WaitForSync()
	p.GoTo(phonetest.PathOf(t, address))
	p.WaitForText("Bag 2", "keep wet and warm")

	p.GoTo("/")
	p.WaitForText("2 bags")
	p.Tap("Bag 1…")
	p.Tap("Open early")
	p.WaitForText("too early")
	p.Tap("Yes, go on")
	p.WaitForText("Bag 1 opened", "untie")
	p.Tap("tinted")
	p.WaitForText("One more hot bath")
	p.Tap("clean")
	p.Tap("It runs clear")
	p.Tap("Mark washed and dry")
	p.WaitForText("Bag 1 washed and dry")
	p.WaitForSync()

	p.WaitForInstall()
	p.AllowNetworkErrors()
	h.Stop()
	p.AdvanceClock(80 * time.Hour) // vinyl sulfone takes three days, and is never called more than probably ready
	p.Open(phonetest.PathOf(t, address))
	p.WaitForText("probably ready")
	p.Tap("Open and rinse")
	p.Tap("It runs clear")
	p.Tap("Mark washed and dry")
	p.WaitForText("Bag 2 washed and dry")
	p.Tap("Market tees")
	p.Tap("All dry: the batch is done")
	p.WaitForText("Market tees is done")
	p.Tap("Batches")
	p.WaitForText("Done")
}
