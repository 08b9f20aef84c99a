//go:build unix

package labels_test

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

	"coldbatch/internal/hubtest"
	"coldbatch/internal/label"
	"coldbatch/internal/need"
	"coldbatch/internal/phonetest"
	"coldbatch/internal/sheet"
	"coldbatch/internal/zone"
)

// A printed label is scanned live with the program stopped: a phone that never saw
// the batch shows it as printed, one that did as it stands now. The camera is
// asked for once, and let go. Bagging and a check of the shelf go on from there.
func TestScanLive(t *testing.T) {
	need.CI(t)
	t.Parallel()
	c := phonetest.NewCamera(t)
	h := hubtest.Start(t)
	stranger := phonetest.NewPhoneIn(t, c.Browser, h.URL())
	stranger.BlockSync()
	stranger.Open("/scan")
	stranger.WaitForInstall()
	stranger.WaitForScanner()
	p := phonetest.NewPhoneIn(t, c.Browser, h.URL())
	p.Open("/")
	batch := p.RecordPlan("Picnic cloths")
	p.GoTo(batch + "/bagging")
	p.Tap("Close bag 1")
	p.Tap("Label of bag 1")
	address := p.ReadCode("dialog .qr")
	p.Tap("Close")
	free := label.Address("coldbatch.local:8443", p.RecordBlanks(batch, 4)["3"])
	p.WaitForSync()
	p.WaitForInstall()
	p.WaitForScanner()
	stranger.AllowNetworkErrors()
	p.AllowNetworkErrors()
	h.Stop()

	c.Show(t, []string{address})
	for _, row := range []struct {
		phone *phonetest.Phone
		texts []string
		path  string
	}{
		{stranger, []string{"As printed on the label", "keep wet and warm", "RU", "about"}, "/b/"},
		{p, []string{"Bag 1", "keep wet and warm", "rust", "something else"}, "/bag/"},
	} {
		row.phone.Open("/scan")
		row.phone.CountCameraRequests()
		row.phone.Tap("Use the camera")
		row.phone.WaitForText(row.texts...)
		if at := phonetest.Evaluate[string](row.phone, `location.pathname.toLowerCase()`); !strings.HasPrefix(at, row.path) {
			t.Errorf("it led to %s", at)
		}
		row.phone.CheckCameraRequests(1)
		row.phone.WaitForCameraOff()
	}
	stranger.Close()
	scanBlankWhileBagging(p, c, batch, free)
	checkTheShelf(p, c, address)
}

// scanBlankWhileBagging scans a numbered blank with the program stopped: the bag takes its
// number, and from then on the code leads to the bag.
func scanBlankWhileBagging(p *phonetest.Phone, c phonetest.Camera, batch, code string) {
	p.T.Helper()
	c.Show(p.T, []string{code})
	p.GoTo(batch + "/bagging")
	p.WaitForText("4 numbered blanks are free: 2–5")
	p.Tap("Close the bag by scanning its label")
	p.Tap("Scan and close") // one scan closes it
	p.WaitForText("Bag 3 closed")
	p.Open("/scan")
	p.Tap("Use the camera")
	p.WaitFor("the bag", `location.pathname.startsWith('/bag/')`)
	p.WaitForText("Bag 3")
	p.WaitForCameraOff()
}

// checkTheShelf shows six bags on a shelf, one of them this phone's, with no network: each
// is a row once, however often it comes before the camera.
func checkTheShelf(p *phonetest.Phone, c phonetest.Camera, mine string) {
	p.T.Helper()
	c.Show(p.T, []string{mine}, []string{printedAddress(p.T, 11, -30*time.Hour)}, []string{printedAddress(p.T, 12, -40*time.Hour), printedAddress(p.T, 13, -2*time.Hour)},
		[]string{blankAddress(p.T, 40)}, []string{"https://menu.example/table/7"}, []string{printedAddress(p.T, 14, 0)})
	p.GoTo("/scan")
	p.CountCameraRequests()
	p.Tap("Check the shelf…")
	p.Tap("Start scanning")
	p.WaitForText("6 bags", "2 ready", "3 not yet", "1 unknown", "as printed", "blank, on no bag here")
	p.WaitForText("already counted") // the film begins again
	p.WaitForText("6 bags", "Not a bag’s label")
	p.CheckCameraRequests(1)
	p.Audit("the shelf")
	if n := phonetest.Evaluate[int](p, `document.querySelectorAll('ul.tags > li').length`); n != 6 {
		p.T.Errorf("there are %d rows", n)
	}
	p.Tap("Camera off")
	p.WaitForCameraOff()

	p.Reload()
	p.WaitForText("6 bags", "2 ready", "3 not yet", "1 unknown")
	p.Tap("Bag 1 Not yet…")
	p.WaitForText("Something else")
	p.AdvanceClock(60 * time.Hour)
	p.Open("/scan/shelf")
	p.WaitForText("While the app was closed")
	p.Tap("OK")
	p.WaitForText("5 ready", "1 unknown")
	p.Tap("Clear the list")
	p.WaitForText("List cleared")
	p.WaitForNoText("5 ready")
	p.Tap("Undo")
	p.WaitForText("6 bags", "5 ready")
	p.Tap("Clear the list")
	p.Reload()
	p.WaitForNoText("6 bags")
	p.AllowError("ERR_INTERNET_DISCONNECTED")
}

// printedAddress is the address on the label of another house's bag, closed at a time
// relative to now and usually ready 24 hours later.
func printedAddress(t *testing.T, number int, closed time.Duration) string {
	t.Helper()
	at := zone.Instant(time.Now().Add(closed).Truncate(time.Minute).UnixMilli())
	const hour = 60 * zone.Instant(zone.Minute)
	return addressOf(t, label.Label{Number: number, Token: label.Token{byte(number), 7}, ClosedAt: at, ReadyAt: at + 24*hour, EarliestReady: at + 20*hour, LatestReady: at + 29*hour,
		Celsius: 21, ClassCode: label.ClassDichlorotriazine, PieceCode: 1, Colours: []label.Colour{{CapLetters: "BG", RGB: [3]uint8{0, 112, 120}, ShareSixteenths: 16}}})
}

// blankAddress is the address on a numbered blank.
func blankAddress(t *testing.T, number int) string {
	t.Helper()
	return addressOf(t, label.Label{Number: number, IsBlank: true, Token: label.Token{byte(number), 9}})
}

func addressOf(t *testing.T, l label.Label) string {
	t.Helper()
	code, err := label.Encode(l)
	if err != nil {
		t.Fatal(err)
	}
	return label.Address("coldbatch.local:8443", code)
}

// A phone whose browser reads codes by itself scans before the scanner is here, and
// with it what the browser does not see. The light is switched where there is one;
// a hit is felt.
func TestScanWithTheBrowsersReader(t *testing.T) {
	need.CI(t)
	t.Parallel()
	c := phonetest.NewCamera(t)
	h := hubtest.Start(t)
	p := phonetest.NewPhoneIn(t, c.Browser, h.URL())
	p.AllowError(`status of 404`)
	p.Run(func(ctx context.Context) error {
		_, err := chromedp.Call(ctx, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: `
			globalThis.BarcodeDetector = class { static getSupportedFormats() { return Promise.resolve(['aztec', 'qr_code']); }
				detect() { return Promise.resolve(globalThis.sees ? [{rawValue: sees, boundingBox: {x: 5, y: 5, width: 9, height: 9}}] : []); } };
			globalThis.felt = 0; navigator.vibrate = () => ++felt;
			const track = MediaStreamTrack.prototype;
			track.getCapabilities = () => ({torch: true});
			track.applyConstraints = async ({advanced: [{torch}]}) => { globalThis.torch = torch; };`})
		return err
	})
	c.Show(t)
	p.Open("/scan")
	p.Tap("Use the camera")
	p.Tap("Light")
	p.WaitFor("the light", `torch === true && document.querySelector('[aria-pressed=true]')`)
	p.Audit("the light")
	phonetest.Evaluate[bool](p, `(globalThis.sees = '`+printedAddress(t, 21, -2*time.Hour)+`', true)`)
	p.WaitForText("Bag 21")
	p.WaitFor("a hit that is felt", `felt === 1`)
	p.WaitForCameraOff()

	c.Show(t, []string{printedAddress(t, 22, -2*time.Hour)})
	phonetest.Evaluate[bool](p, `(globalThis.sees = '', true)`)
	p.GoTo("/scan")
	p.Tap("Use the camera")
	p.WaitForText("Bag 22")
	p.WaitForCameraOff()
	scanForeignCode(p, c)
}

// scanForeignCode scans a code that is no label: its text is shown, and the app does nothing
// with it, though it is an address; an invitation leads to where this phone is paired. The
// camera is let go while the app is out of sight.
func scanForeignCode(p *phonetest.Phone, c phonetest.Camera) {
	p.T.Helper()
	p.GoTo("/scan")
	c.Show(p.T, []string{"https://menu.example/table/7?a=<b>&more=" + strings.Repeat("x", 140)})
	p.CountCameraRequests()
	p.Tap("Use the camera")
	p.WaitForText("Not a bag’s label", "https://menu.example/table/7?a=<b>&more=xxx", "xxx…")
	p.Audit("a foreign code")
	if at := phonetest.Evaluate[string](p, `location.pathname + document.querySelectorAll('main a:not([href^="/"])').length`); at != "/scan0" {
		p.T.Errorf("it led to %s", at)
	}
	phonetest.Evaluate[bool](p, `(() => { Object.defineProperty(document, 'visibilityState', {get: () => 'hidden', configurable: true}); document.dispatchEvent(new Event('visibilitychange')); return true; })()`)
	p.WaitForCameraOff()
	phonetest.Evaluate[bool](p, `(() => { delete document.visibilityState; document.dispatchEvent(new Event('visibilitychange')); return true; })()`)
	p.WaitForText("Use the camera")
	p.CheckCameraRequests(1)
	c.Show(p.T, []string{"HTTPS://COLDBATCH.LOCAL:8443/JOIN/12345678"})
	p.Tap("Use the camera")
	p.WaitForText("This phone is paired") // as the computer that the program runs on
	if at := phonetest.Evaluate[string](p, `location.pathname`); at != "/join/12345678" {
		p.T.Errorf("it led to %s", at)
	}
	p.WaitForCameraOff()
}

// Where no camera helps, a person scans a photo, or types what the label says.
func TestScanWithoutACamera(t *testing.T) {
	need.CI(t)
	t.Parallel()
	_, p, batch := phonetest.StartPlanned(t)
	p.GoTo(batch + "/bagging")
	p.Tap("Close bag 1")
	p.WaitForText("Bag 1 closed")
	id := phonetest.Evaluate[string](p, `appModule('/journal/views.js').then(async v => (await v.batchView(location.pathname.split('/')[2])).bags[0].typed)`)
	scanPhoto(p)
	refuseCamera(p)
	typeNumberAndID(p, id)
}

// scanPhoto scans a photo where there is no camera: turned, dim and wet. One without a code
// says so, and so does a file that is no picture.
func scanPhoto(p *phonetest.Phone) {
	p.T.Helper()
	p.AllowError(`status of 404`) // the program knows none of these labels
	p.GoTo("/scan")
	p.ChoosePhoto(phonetest.WriteJPEG(p.T, phonetest.DrawScene()))
	p.WaitForText("No code was found in this photo")
	p.Audit("a photo without a code")
	p.ChoosePhoto(noPicture(p.T))
	p.WaitForText("this picture cannot be read")
	p.Tap("Use the camera")
	p.WaitForText("no camera was found")
	p.Audit("no camera")
	p.ChoosePhoto(phonetest.WriteJPEG(p.T, turnedPhoto(p.T, blankAddress(p.T, 31))))
	p.WaitForText("Blank 31", "not on any bag that this phone knows", "While you dye and bag")
	p.Audit("a blank")
	p.Tap("Scan")
	p.ChoosePhoto(phonetest.WriteJPEG(p.T, turnedPhoto(p.T, printedAddress(p.T, 11, -2*time.Hour))))
	p.WaitForText("Bag 11", "As printed on the label", "keep wet and warm")
}

// noPicture is a file that only has the name of a picture.
func noPicture(t *testing.T) string {
	t.Helper()
	name := filepath.Join(t.TempDir(), "photo.jpg")
	if err := os.WriteFile(name, []byte("a list of what to buy"), 0o644); err != nil {
		t.Fatal(err)
	}
	return name
}

// turnedPhoto is a large photo in which a label lies askew, with little between its dark
// and its light.
func turnedPhoto(t *testing.T, text string) image.Image {
	t.Helper()
	m, err := sheet.QR(text)
	if err != nil {
		t.Fatal(err)
	}
	const w, h, dot = 3000, 4000, 24
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	draw.Draw(img, img.Bounds(), image.NewUniform(color.RGBA{120, 96, 90, 255}), image.Point{}, draw.Src)
	sin, cos := math.Sincos(0.5)
	reach := (m.Size + 8) * dot * 3 / 4 // from the middle; the corners are at 0.71
	for y := h/2 - reach; y < h/2+reach; y++ {
		for x := w/2 - reach; x < w/2+reach; x++ {
			dx, dy := float64(x-w/2), float64(y-h/2)
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

// refuseCamera refuses the camera: whoever does so is not asked again during this visit.
func refuseCamera(p *phonetest.Phone) {
	p.T.Helper()
	p.Open("/scan")
	p.WaitFor("a camera that is refused", `(navigator.mediaDevices.getUserMedia = () => { globalThis.cameraRequests = (globalThis.cameraRequests || 0) + 1; return Promise.reject(new DOMException('no', 'NotAllowedError')); }, true)`)
	p.Tap("Use the camera")
	p.WaitForText("the camera is not allowed for this app", "type the number or take a photo")
	p.Audit("no camera is allowed")
	p.GoTo("/scan/shelf")
	p.Tap("Start scanning")
	p.WaitForText("the camera is not allowed for this app")
	p.CheckCameraRequests(1)
}

// typeNumberAndID types the number on a keypad, and the id under the code, in any case and
// with what looks alike taken for what is meant.
func typeNumberAndID(p *phonetest.Phone, id string) {
	p.T.Helper()
	p.GoTo("/scan")
	p.Tap("1")
	p.Tap("Show")
	p.WaitForText("Something else")

	p.GoTo("/scan")
	p.Tap("9")
	p.Tap("Show")
	p.WaitForText("No bag 9 on this phone")
	p.Tap("delete")
	p.Tap("letters")
	p.Audit("letters")
	for _, c := range strings.ReplaceAll(id, "-", "") {
		p.Tap(string(c))
	}
	p.WaitForText(id)
	p.Tap("Show")
	p.WaitForText("Something else")

	p.GoTo("/scan")
	p.Tap("Paste an address")
	p.Fill("Address or code on the label", "https://menu.example/b/abc")
	p.Tap("Find it")
	p.WaitForText("Not a bag’s label")
}

// The app is whole before the scanner is here, and says which of the two it can do
// without network; the scanner is fetched when the program is back.
func TestScannerComesSecond(t *testing.T) {
	need.CI(t)
	t.Parallel()
	h := hubtest.Start(t)
	p := phonetest.NewPhone(t, h.URL())
	p.AllowError(`reader of codes|Failed to fetch|zxing|ERR_FAILED`)
	p.Open("/phone")
	p.WaitForInstall()
	p.WaitForScanner()
	p.WaitForText("Ready, scanning too")
	p.WaitFor("the scanner to be removed", `caches.keys().then(async ([name]) => (await caches.open(name)).delete('`+phonetest.ScannerPath+`'))`)
	p.AllowNetworkErrors()
	h.Stop()
	p.Open("/phone")
	p.WaitForText("Ready, but the scanner is not downloaded yet")
	p.GoTo("/scan")
	p.ChoosePhoto(phonetest.WriteJPEG(t, phonetest.DrawScene(printedAddress(t, 11, 0))))
	p.WaitForText("the code reader is not on this phone yet", "type the number")
	p.Audit("no scanner")
	h.Start()
	phonetest.Evaluate[bool](p, `document.dispatchEvent(new Event('visibilitychange'))`) // the app is shown
	p.WaitForScanner()
	h.Stop()
	p.ChoosePhoto(phonetest.WriteJPEG(t, phonetest.DrawScene(printedAddress(t, 11, 0))))
	p.WaitForText("Bag 11", "as printed")
}
