//go:build unix

package screens_test

import (
	"bytes"
	"cmp"
	"coldbatch/internal/hubtest"
	"coldbatch/internal/phonetest"
	"image"
	"image/color"
	"image/png"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// maxPicture is the largest size of a picture for the README, in bytes.
const maxPicture = 64 << 10

// TestPictures takes the README's pictures anew, of the invented example:
//
//	COLDBATCH_PICTURES=$PWD/testdata/pictures go test -run TestPictures ./internal/phonetest/screens
func TestPictures(t *testing.T) {
	dir := os.Getenv("COLDBATCH_PICTURES")
	if dir == "" {
		t.Skip("COLDBATCH_PICTURES does not name the folder for them")
	}
	h := hubtest.Start(t, "--example")
	p := phonetest.NewPhone(t, h.URL())
	p.Do(chromedp.EmulateViewport(390, 844, chromedp.EmulateMobile, chromedp.EmulateTouch, chromedp.EmulatePortrait, chromedp.EmulateScale(1.5)))
	p.Open("/")
	p.WaitForInstall()
	p.Open("/batches")
	p.WaitForText("aprons for the stall", "spring market")
	path := func(name string) string {
		return phonetest.Evaluate[string](p, `[...document.querySelectorAll('a[href^="/batch/"]')].find((a) => a.innerText.includes('`+name+`')).getAttribute('href')`)
	}
	market, stall := path("spring market"), path("aprons for the stall")
	p.Open(market)
	p.WaitForText("keep wet and warm")
	bag := phonetest.Evaluate[string](p, `[...document.querySelectorAll('a[href^="/bag/"]')].find((a) => /^\D*4\b/.test(a.innerText)).getAttribute('href')`)
	choose := func() {
		p.Scroll("scrollTo(0, 0)")
	}
	toPrint := func() {
		p.WaitForPages()
		p.Scroll(`scrollTo(0, document.querySelector('.close-up').getBoundingClientRect().top - 260)`)
	}
	sum := func() {
		p.Fill("Strength", "6.2 g per 8 fl oz")
		p.Fill("Volume in each bottle", "2 fl oz")
		p.WaitForText("1.55 g")
		p.Scroll(`[...document.querySelectorAll('main *')].find((e) => e.innerText?.replace(/\s+/g, ' ').trim() === '1.55 g').scrollIntoView({block: 'center', behavior: 'instant'})`)
	}
	for _, s := range []struct {
		name, path, see string
		then            func()
	}{
		{"today", "/", "spring market", nil},
		{"batch", market, "bags", nil},
		{"pieces", stall + "/pieces", "apron", nil},
		{"colours", stall + "/colours", "40 g/L", nil},
		{"soak", stall + "/soak", "soda ash", nil},
		{"jugs", stall + "/jugs", "leaf green", nil},
		{"bagging", market + "/bagging", "close bag", choose},
		{"bag", bag, "keep wet and warm", nil},
		{"labels", market + "/labels", "print 4 labels", toPrint},
		{"history", market + "/history", "rust", nil},
		{"scan", "/scan", "scan", nil},
		{"sum", "/sums/bottle", "strength", sum},
		{"shelf", "/shelf", "shed", nil},
		{"phone", "/phone", "hub", nil},
	} {
		p.Open(s.path)
		p.WaitForText(s.see)
		if s.then != nil {
			s.then()
		}
		waitForStillness(p)
		b := takePicture(p)
		if len(b) > maxPicture {
			t.Errorf("%s has %d bytes, more than %d", s.name, len(b), maxPicture)
		}
		if err := os.WriteFile(filepath.Join(dir, s.name+".png"), b, 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// waitForStillness waits until nothing moves or loads; nothing tells of the flash by which
// the browser answers a tap.
func waitForStillness(p *phonetest.Phone) {
	p.T.Helper()
	p.WaitFor("nothing to move", `document.fonts.status === 'loaded' && document.getAnimations().every((a) => a.playState !== 'running')`)
	time.Sleep(400 * time.Millisecond)
}

// takePicture takes the screen as a PNG of 128 colours: the frequent ones, and for
// the rest the nearest of them.
func takePicture(p *phonetest.Phone) []byte {
	p.T.Helper()
	shot, err := chromedp.Run(p.Ctx, chromedp.CaptureScreenshot())
	if err != nil {
		p.T.Fatal(err)
	}
	from, err := png.Decode(bytes.NewReader(shot))
	if err != nil {
		p.T.Fatal(err)
	}
	var b bytes.Buffer
	if err := (&png.Encoder{CompressionLevel: png.BestCompression}).Encode(&b, quantizeColours(from)); err != nil {
		p.T.Fatal(err)
	}
	return b.Bytes()
}

func quantizeColours(from image.Image) *image.Paletted {
	box := from.Bounds()
	count := map[color.RGBA]int{}
	at := func(x, y int) color.RGBA { return color.RGBAModel.Convert(from.At(x, y)).(color.RGBA) }
	for y := box.Min.Y; y < box.Max.Y; y++ {
		for x := box.Min.X; x < box.Max.X; x++ {
			count[at(x, y)]++
		}
	}
	all := slices.SortedFunc(maps.Keys(count), func(a, b color.RGBA) int { return cmp.Compare(count[b], count[a]) })
	var few color.Palette
	for _, c := range all[:min(len(all), 128)] {
		few = append(few, c)
	}
	index := map[color.RGBA]uint8{}
	for c := range count {
		index[c] = uint8(few.Index(c))
	}
	to := image.NewPaletted(box, few)
	for y := box.Min.Y; y < box.Max.Y; y++ {
		for x := box.Min.X; x < box.Max.X; x++ {
			to.SetColorIndex(x, y, index[at(x, y)])
		}
	}
	return to
}
