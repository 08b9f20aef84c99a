//go:build unix

package main

import (
	"context"
	"image"
	"image/color"
	"image/draw"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"coldbatch/internal/label"
	"coldbatch/internal/sheet"
	"coldbatch/internal/zone"
)

// A printed label is scanned live with the program stopped: a phone that never saw
// the batch shows it as printed, one that did as it stands now. The camera is
// asked for once, and let go.
func TestScanLive(t *testing.T) {
	l := newLens(t)
	h := newHouse(t)
	stranger := phoneOf(t, l.browser, h.url())
	stranger.apart()
	stranger.open("/scan")
	stranger.installed()
	stranger.scannerHere()
	p := phoneOf(t, l.browser, h.url())
	p.open("/")
	p.open(p.plan("Picnic cloths") + "/bagging")
	p.tap("Close bag 1")
	p.tap("Label of bag 1")
	address := p.scan("dialog .qr")
	p.tap("Close")
	p.settled()
	p.installed()
	p.scannerHere()
	stranger.alone()
	p.alone()
	h.stop()

	l.plays(t, []string{address})
	for _, row := range []struct {
		who  *phone
		see  []string
		path string
	}{
		{stranger, []string{"As printed on the label", "keep wet and warm", "RU", "about"}, "/b/"},
		{p, []string{"Bag 1", "keep wet and warm", "rust", "something else"}, "/bag/"},
	} {
		row.who.open("/scan")
		row.who.countCamera()
		row.who.tap("Use the camera")
		row.who.see(row.see...)
		if at := asked[string](row.who, `location.pathname.toLowerCase()`); !strings.HasPrefix(at, row.path) {
			t.Errorf("it led to %s", at)
		}
		row.who.cameraAsked(1)
		row.who.cameraOff()
	}
}

// A phone whose browser reads codes by itself scans before the scanner is here, and
// with it what the browser does not see. The light is switched where there is one;
// a hit is felt.
func TestScanWithTheBrowsersReader(t *testing.T) {
	l := newLens(t)
	h := newHouse(t)
	p := phoneOf(t, l.browser, h.url())
	p.allow(`status of 404`)
	p.call(func(ctx context.Context) error {
		_, err := chromedp.Call(ctx, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: `
			globalThis.BarcodeDetector = class { static getSupportedFormats() { return Promise.resolve(['aztec', 'qr_code']); }
				detect() { return Promise.resolve(globalThis.sees ? [{rawValue: sees, boundingBox: {x: 5, y: 5, width: 9, height: 9}}] : []); } };
			globalThis.felt = 0; navigator.vibrate = () => ++felt;
			const track = MediaStreamTrack.prototype;
			track.getCapabilities = () => ({torch: true});
			track.applyConstraints = async ({advanced: [{torch}]}) => { globalThis.torch = torch; };`})
		return err
	})
	l.plays(t)
	p.open("/scan")
	p.tap("Use the camera")
	p.tap("Light")
	p.wait("the light", `torch === true && document.querySelector('[aria-pressed=true]')`)
	p.audit("the light")
	asked[bool](p, `(globalThis.sees = '`+printed(t, 21, -2*time.Hour)+`', true)`)
	p.see("Bag 21")
	p.wait("a hit that is felt", `felt === 1`)
	p.cameraOff()

	l.plays(t, []string{printed(t, 22, -2*time.Hour)})
	p.open("/scan")
	p.tap("Use the camera")
	p.see("Bag 22")
}

// Who says no is not asked again in this visit, and types the number.
func TestCameraRefused(t *testing.T) {
	h := newHouse(t)
	p := newPhone(t, h.url())
	p.open("/scan")
	p.wait("a camera that is refused", `(navigator.mediaDevices.getUserMedia = () => { globalThis.cameraAsked = (globalThis.cameraAsked || 0) + 1; return Promise.reject(new DOMException('no', 'NotAllowedError')); }, true)`)
	p.tap("Use the camera")
	p.see("the camera is not allowed for this app", "type the number or take a photo")
	p.audit("no camera is allowed")
	p.turn("/scan/shelf")
	p.tap("Start scanning")
	p.see("the camera is not allowed for this app")
	p.cameraAsked(1)
}

// What is no label is told as what it says, and nothing comes of it, though it is
// an address; an invitation leads to where this phone is paired. The camera is let
// go while the app is out of sight.
func TestScanForeignCode(t *testing.T) {
	l := newLens(t)
	h := newHouse(t)
	p := phoneOf(t, l.browser, h.url())
	p.open("/scan")
	l.plays(t, []string{"https://menu.example/table/7?a=<b>&more=" + strings.Repeat("x", 140)})
	p.countCamera()
	p.tap("Use the camera")
	p.see("Not a bag’s label", "https://menu.example/table/7?a=<b>&more=xxx", "xxx…")
	p.audit("a foreign code")
	if at := asked[string](p, `location.pathname + document.querySelectorAll('main a:not([href^="/"])').length`); at != "/scan0" {
		t.Errorf("it led to %s", at)
	}
	asked[bool](p, `(() => { Object.defineProperty(document, 'visibilityState', {get: () => 'hidden', configurable: true}); document.dispatchEvent(new Event('visibilitychange')); delete document.visibilityState; return true; })()`)
	p.cameraOff()
	p.see("Use the camera")
	p.cameraAsked(1)
	l.plays(t, []string{"HTTPS://COLDBATCH.LOCAL:8443/JOIN/12345678"})
	p.tap("Use the camera")
	p.see("This phone is in") // as the computer that the program runs on
	if at := asked[string](p, `location.pathname`); at != "/join/12345678" {
		t.Errorf("it led to %s", at)
	}
	p.cameraOff()
}

// Six bags on a shelf, one of them this phone's, with no network: each is a row
// once, however often it comes before the camera.
func TestCheckTheShelf(t *testing.T) {
	l := newLens(t)
	h := newHouse(t)
	p := phoneOf(t, l.browser, h.url())
	p.open("/")
	p.open(p.plan("Picnic cloths") + "/bagging")
	p.tap("Close bag 1")
	p.tap("Label of bag 1")
	mine := p.scan("dialog .qr")
	p.tap("Close")
	p.settled()
	p.installed()
	p.scannerHere()
	p.alone()
	h.stop()

	l.plays(t, []string{mine}, []string{printed(t, 11, -30*time.Hour)}, []string{printed(t, 12, -40*time.Hour), printed(t, 13, -2*time.Hour)},
		[]string{blank(t, 40)}, []string{"https://menu.example/table/7"}, []string{printed(t, 14, 0)})
	p.open("/scan")
	p.countCamera()
	p.tap("Check the shelf…")
	p.tap("Start scanning")
	p.see("6 bags", "2 ready", "3 not yet", "1 unknown", "as printed", "blank, tied to no bag here")
	p.see("counted already") // the film begins again
	p.see("6 bags", "Not a bag’s label")
	p.cameraAsked(1)
	p.audit("the shelf")
	if n := asked[int](p, `document.querySelectorAll('ul.tags > li').length`); n != 6 {
		t.Errorf("there are %d rows", n)
	}
	p.tap("Camera off")
	p.cameraOff()

	p.reload()
	p.see("6 bags", "2 ready", "3 not yet", "1 unknown")
	p.tap("Bag 1 Not yet…")
	p.see("Something else")
	p.open("/scan/shelf")
	p.later(60 * time.Hour)
	p.reload()
	p.see("5 ready", "1 unknown")
	p.tap("Clear the list")
	p.see("List cleared")
	p.gone("5 ready")
	p.tap("Undo")
	p.see("6 bags", "5 ready")
	p.tap("Clear the list")
	p.reload()
	p.gone("6 bags")
}

// printed is the address on the label of another house's bag, closed at a time
// relative to now and usually ready 24 hours later.
func printed(t *testing.T, number int, closed time.Duration) string {
	t.Helper()
	at := zone.Instant(time.Now().Add(closed).Truncate(time.Minute).UnixMilli())
	const hour = 60 * zone.Instant(zone.Minute)
	return addressOf(t, label.Label{Number: number, Token: label.Token{byte(number), 7}, Closed: at, Ready: at + 24*hour, Early: at + 20*hour, Late: at + 29*hour,
		Celsius: 21, Class: label.Dichlorotriazine, Piece: 1, Colours: []label.Colour{{Caps: "BG", RGB: [3]uint8{0, 112, 120}, Sixteenths: 16}}})
}

// blank is the address on a numbered blank.
func blank(t *testing.T, number int) string {
	t.Helper()
	return addressOf(t, label.Label{Number: number, Blank: true, Token: label.Token{byte(number), 9}})
}

func addressOf(t *testing.T, l label.Label) string {
	t.Helper()
	code, err := label.Encode(l)
	if err != nil {
		t.Fatal(err)
	}
	return label.Address("coldbatch.local:8443", code)
}

// A numbered blank is scanned while bagging, with the program stopped: the bag takes
// its number, and from then on the code leads to the bag. One that hangs on a bag
// already says so.
func TestScanBlankWhileBagging(t *testing.T) {
	l := newLens(t)
	h := newHouse(t)
	p := phoneOf(t, l.browser, h.url())
	p.open("/")
	batch := p.plan("Picnic cloths")
	p.open(batch + "/bagging")
	p.see("Close bag 1") // it has numbers
	code := label.Address("coldbatch.local:8443", p.blanks(batch, 4)["3"])
	p.settled()
	p.installed()
	p.scannerHere()
	p.alone()
	h.stop()

	l.plays(t, []string{code})
	p.open(batch + "/bagging")
	p.see("4 numbered blanks are free: 1–4")
	p.tap("Scan the label")
	p.see("Bag 3")
	p.tap("Close bag 3")
	p.see("Bag 3 closed", "3 numbered blanks are free: 1–2, 4")
	p.see("Blank 3 hangs on bag 3 already") // the camera is still on, for the next bag
	p.open("/scan")
	p.tap("Use the camera")
	p.wait("the bag", `location.pathname.startsWith('/bag/')`)
	p.see("Bag 3")
	p.allow("ERR_INTERNET_DISCONNECTED")
}

// A photo does where there is no camera: turned, dim and wet. One without a code
// says so, and so does a file that is no picture.
func TestScanPhoto(t *testing.T) {
	h := newHouse(t)
	p := newPhone(t, h.url())
	p.allow(`status of 404`) // the program knows none of these labels
	p.open("/scan")
	p.take(pictureFile(t, scene()))
	p.see("No code is seen in this photo")
	p.audit("a photo without a code")
	p.take(noPicture(t))
	p.see("this picture cannot be read here")
	p.tap("Use the camera")
	p.see("no camera answers here")
	p.audit("no camera")
	p.take(pictureFile(t, turned(t, blank(t, 31))))
	p.see("Blank 31", "tied to no bag that this phone knows", "While you dye and bag")
	p.audit("a blank")
	p.tap("Scan")
	p.take(pictureFile(t, turned(t, printed(t, 11, -2*time.Hour))))
	p.see("Bag 11", "As printed on the label", "keep wet and warm")
}

// noPicture is a file that is called one.
func noPicture(t *testing.T) string {
	t.Helper()
	name := filepath.Join(t.TempDir(), "photo.jpg")
	if err := os.WriteFile(name, []byte("a list of what to buy"), 0o644); err != nil {
		t.Fatal(err)
	}
	return name
}

// turned is a large photo in which a label lies askew, with little between its dark
// and its light.
func turned(t *testing.T, text string) image.Image {
	t.Helper()
	m, err := sheet.QR(text)
	if err != nil {
		t.Fatal(err)
	}
	const w, h, dot = 3000, 4000, 24.0
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	draw.Draw(img, img.Bounds(), image.NewUniform(color.RGBA{120, 96, 90, 255}), image.Point{}, draw.Src)
	sin, cos := math.Sincos(0.5)
	for y := range h {
		for x := range w {
			dx, dy := float64(x)-w/2, float64(y)-h/2
			col := int(math.Floor((dx*cos+dy*sin)/dot + float64(m.Size)/2))
			row := int(math.Floor((dy*cos-dx*sin)/dot + float64(m.Size)/2))
			switch in := func(v, edge int) bool { return v >= -edge && v < m.Size+edge }; {
			case in(col, 0) && in(row, 0) && m.Rows[row][col] == '1':
				img.Set(x, y, color.RGBA{84, 80, 84, 255})
			case in(col, 4) && in(row, 4):
				img.Set(x, y, color.RGBA{168, 160, 150, 255})
			}
		}
	}
	return img
}

// The number is typed on a keypad, and so is the id under the code, in any case and
// with what looks alike taken for what is meant.
func TestTypedNumberAndID(t *testing.T) {
	h := newHouse(t)
	p := newPhone(t, h.url())
	p.open("/")
	p.open(p.plan("Picnic cloths") + "/bagging")
	p.tap("Close bag 1")
	p.see("Bag 1 closed")
	id := asked[string](p, `import('/journal/views.js').then(async v => (await v.batchView(location.pathname.split('/')[2])).bags[0].typed)`)
	p.open("/scan")
	p.tap("1")
	p.tap("Show")
	p.see("Something else")

	p.open("/scan")
	p.tap("9")
	p.tap("Show")
	p.see("No bag 9 on this phone")
	p.tap("delete")
	p.tap("letters")
	p.audit("letters")
	for _, c := range strings.ReplaceAll(id, "-", "") {
		p.tap(string(c))
	}
	p.see(id)
	p.tap("Show")
	p.see("Something else")

	p.open("/scan")
	p.tap("Paste an address")
	p.fill("Address or code on the label", "https://menu.example/b/abc")
	p.tap("Find it")
	p.see("Not a bag’s label")
}

// The app is whole before the scanner is here, and says which of the two it can do
// without network; the scanner is fetched when the program is back.
func TestScannerComesSecond(t *testing.T) {
	h := newHouse(t)
	p := newPhone(t, h.url())
	p.allow(`reader of codes|Failed to fetch|zxing|ERR_FAILED`)
	p.open("/phone")
	p.installed()
	p.scannerHere()
	p.see("Ready, scanning too")
	p.wait("the scanner to be taken away", `caches.keys().then(async ([name]) => (await caches.open(name)).delete('`+scannerFile+`'))`)
	p.alone()
	h.stop()
	p.open("/phone")
	p.see("Ready; the scanner is still to come from the hub")
	p.turn("/scan")
	p.take(pictureFile(t, scene(printed(t, 11, 0))))
	p.see("the reader of codes is not on this phone yet", "type the number")
	p.audit("no scanner")
	h.start()
	asked[bool](p, `document.dispatchEvent(new Event('visibilitychange'))`) // the app is shown
	p.scannerHere()
	h.stop()
	p.take(pictureFile(t, scene(printed(t, 11, 0))))
	p.see("Bag 11", "as printed")
}
