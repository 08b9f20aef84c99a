//go:build unix

package main

import (
	"bytes"
	"context"
	"image"
	_ "image/png"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/qrcode"
)

// The whole job at phone size, from an empty file to a rinsed bag: one bag with
// the program there, the other with the program gone.
func TestBatchFromClothToRinsedBag(t *testing.T) {
	h := newHouse(t)
	p := newPhone(t, h.url())
	p.open("/")
	p.see("Look at the example")
	p.tap("New batch")
	p.fill("Name", "Market tees")
	p.tap("Start the batch")

	p.tap("Tee, medium")
	p.tap("How many: one more")
	p.tap("spiral")
	p.tap("Add 2 to the batch")
	p.see("2 tees")
	p.tap("Pillowcase")
	p.fill("Dry weight of one", "150 g")
	p.see("That is 5.3 oz")
	p.tap("Add 1 to the batch")
	p.see("pillowcase", "150 g")
	p.tap("It is washed out")
	p.tap("Choose the colours")

	p.tap("rust")
	p.fill("Strength at full depth", "6.2 g per 8 fl oz")
	p.see("26.2 g/L")
	p.tap("vinyl sulfone…")
	p.tap("Add rust")
	p.tap("blue-green")
	p.fill("Strength at full depth", "30 g/L")
	p.tap("half")
	p.tap("Add blue-green")
	p.tap("On to the soak")

	p.tap("Water: more")
	p.see("soda ash, anhydrous")
	p.tap("It is mixed")
	p.tap("The pieces are in")
	p.tap("Out, and wrung")
	p.tap("On to the jugs")

	p.fill("The scale shows", "8.0")
	p.see("make up to")
	p.fill("The scale shows", "7.4")
	p.tap("Mixed, made up to 282 mL") // 280 mL would be 7.34 g, which a scale cannot show
	p.see("jug 2 of 2")
	p.tap("Mixed, made up to 280 mL") // 4.2 g
	p.tap("On to dyeing and bagging")

	p.tap("2 tees…")
	p.tap("rust…")
	p.tap("A new place")
	p.fill("Name of the place", "shed")
	p.tap("Add the place")
	p.see("shed added")
	p.fill("Temperature there", "21")
	p.tap("Close bag 1")
	p.see("Bag 1 closed", "Close bag 2", "Label of bag 1")
	p.tap("Undo")
	p.see("Taken back", "2 tees") // and the number 1 is not given twice
	p.tap("Redo")
	p.see("Put back", "1 left", "Label of bag 1")

	p.tap("2 tees…")
	p.tap("pillowcase…")
	p.tap("rust…")
	p.tap("blue-green…")
	p.tap("More of one colour than of another")
	p.tap("Parts of rust: more")
	p.tap("Close bag 2")
	p.see("Bag 2 closed", "Every piece is in a bag")

	p.tap("Label of bag 2")
	p.see("keep wet and warm", "more", "about", "to be safe", "near 21 °C", "shed")
	address := p.scan("dialog .qr")
	p.tap("Print the label")
	p.see("at 100 %")
	if printed := p.scan(".closer svg"); printed != address {
		t.Errorf("printed is %s, on the screen it was %s", printed, address)
	}
	p.settled()
	p.open(path(t, address))
	p.see("Bag 2", "keep wet and warm")

	p.open("/")
	p.see("2 bags")
	p.tap("Bag 1…")
	p.tap("Open it early")
	p.see("Bag 1 opened", "untie")
	p.tap("a tint")
	p.see("One more hot bath")
	p.tap("stays clean")
	p.tap("It runs clear")
	p.tap("Washed and dry")
	p.see("Bag 1 washed and dry")
	p.settled()

	p.installed()
	p.alone()
	h.stop()
	p.later(40 * time.Hour)
	p.open(path(t, address))
	p.see("ready to rinse")
	p.tap("Open and rinse")
	p.tap("It runs clear")
	p.tap("Washed and dry")
	p.see("Bag 2 washed and dry")
	p.tap("Market tees")
	p.tap("All dry: the batch is done")
	p.see("Market tees is done")
	p.tap("Batches")
	p.see("Done")
}

// scan reads the code that a selector shows, from a picture of the screen and by
// another's reader, as a phone's camera would.
func (p *phone) scan(selector string) string {
	p.t.Helper()
	p.wait("a code on the screen", `document.querySelector('`+selector+` path')?.getBBox().width`)
	p.scroll(`document.querySelector('` + selector + `').scrollIntoView({block: 'center', behavior: 'instant'})`)
	var picture []byte
	p.call(func(ctx context.Context) (err error) {
		picture, err = chromedp.Run(ctx, chromedp.ScreenshotScale(chromedp.CSS(selector), 2))
		return err
	})
	img, _, err := image.Decode(bytes.NewReader(picture))
	if err != nil {
		p.t.Fatal(err)
	}
	bits, err := gozxing.NewBinaryBitmapFromImage(img)
	if err != nil {
		p.t.Fatal(err)
	}
	got, err := qrcode.NewQRCodeReader().Decode(bits, nil)
	if err != nil {
		p.t.Fatalf("the code on the screen is not read: %v", err)
	}
	return got.GetText()
}

// path gives the path of a label's address; the rest is the name of a hub that
// the tests have no certificate for.
func path(t *testing.T, address string) string {
	t.Helper()
	u, err := url.Parse(address)
	if err != nil || strings.ToUpper(address) != address || !strings.HasPrefix(u.Path, "/B/") {
		t.Fatalf("%q is not the address of a label: %v", address, err)
	}
	return u.Path
}
