//go:build unix

package phonetest

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/jpeg"
	"os"
	"path/filepath"
	"sync"
	"testing"

	"github.com/chromedp/chromedp"

	"coldbatch/internal/hubtest"
	"coldbatch/internal/need"
	"coldbatch/internal/sheet"
)

// Camera is a browser whose camera plays a film that the test writes. There is one for
// all tests of a package, which use it one after the other.
type Camera struct {
	Browser   context.Context
	videoFile string // path of the film
}

var cameraInUse sync.Mutex

// sharedCamera starts the camera when it is first called.
var sharedCamera = sync.OnceValues(func() (Camera, error) {
	dir, err := os.MkdirTemp("", "coldbatch-film-")
	if err != nil {
		return Camera{}, err
	}
	hubtest.AddCleanup(func() { os.RemoveAll(dir) })
	c := Camera{videoFile: filepath.Join(dir, "film.mjpeg")}
	if err := os.WriteFile(c.videoFile, drawVideo(nil), 0o644); err != nil { // its first picture says how large they are
		return c, err
	}
	var stop func()
	c.Browser, stop, err = launchBrowser(headlessNames, chromedp.Flag("use-fake-device-for-media-stream", true),
		chromedp.Flag("use-fake-ui-for-media-stream", true), chromedp.Flag("use-file-for-fake-video-capture", c.videoFile))
	hubtest.AddCleanup(stop)
	return c, err
})

// NewCamera returns the camera to the test until it ends.
func NewCamera(t *testing.T) Camera {
	t.Helper()
	need.Program(t, headlessNames...)
	cameraInUse.Lock()
	t.Cleanup(cameraInUse.Unlock)
	c, err := sharedCamera()
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// Show puts scenes before the camera, over and over; each is the texts of the
// codes in sight at once. A camera that is already on keeps playing the earlier film.
func (c Camera) Show(t *testing.T, scenes ...[]string) {
	t.Helper()
	next := c.videoFile + ".next"
	if err := os.WriteFile(next, drawVideo(scenes), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := os.Rename(next, c.videoFile); err != nil {
		t.Fatal(err)
	}
}

// drawVideo draws each scene for two thirds of a second, at the 30 pictures a second of
// Chromium's camera, with an empty scene for half of that between.
func drawVideo(scenes [][]string) []byte {
	var b bytes.Buffer
	add := func(pictures int, codes ...string) {
		var one bytes.Buffer
		jpeg.Encode(&one, DrawScene(codes...), &jpeg.Options{Quality: 80})
		for range pictures {
			b.Write(one.Bytes())
		}
	}
	add(10)
	for _, codes := range scenes {
		add(20, codes...)
		add(10)
	}
	return b.Bytes()
}

// DrawScene draws a dull table with a paper tag for each code, of as many pixels a module
// as a label of 35 mm has at a forearm's length.
func DrawScene(codes ...string) image.Image {
	const w, h, dot = 1280, 720, 6
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	draw.Draw(img, img.Bounds(), image.NewUniform(color.RGBA{92, 86, 80, 255}), image.Point{}, draw.Src)
	for i, text := range codes {
		m, err := sheet.QR(text)
		if err != nil {
			panic(err)
		}
		side := (m.Size + 8) * dot
		at := image.Pt((w-len(codes)*(side+30))/2+i*(side+30), (h-side)/2)
		paintCode(img, m, at, dot, color.RGBA{236, 233, 226, 255}, color.RGBA{38, 36, 40, 255})
	}
	return img
}

// paintCode draws a code with its quiet zone, dot pixels a module.
func paintCode(img draw.Image, m sheet.Matrix, at image.Point, dot int, paper, ink color.Color) {
	square := func(x, y, n int, c color.Color) {
		draw.Draw(img, image.Rect(at.X+x*dot, at.Y+y*dot, at.X+(x+n)*dot, at.Y+(y+n)*dot), image.NewUniform(c), image.Point{}, draw.Src)
	}
	square(0, 0, m.Size+8, paper)
	for y, row := range m.Rows {
		for x, module := range row {
			if module == '1' {
				square(x+4, y+4, 1, ink)
			}
		}
	}
}

// ScannerPath is the path of the code reader, which the app installs after its own files.
const ScannerPath = "/vendor/zxing-wasm@3.1.4/zxing_reader.wasm"

// WaitForScanner waits until the scanner is whole on the phone.
func (p *Phone) WaitForScanner() {
	p.T.Helper()
	p.WaitFor("the scanner to be on the phone", `appModule('/device/service-worker.js').then(r => r.isScannerReady.value)`)
}

// CountCameraRequests counts from here on how often the page asks for the camera.
func (p *Phone) CountCameraRequests() {
	p.T.Helper()
	Evaluate[bool](p, `(() => { const d = navigator.mediaDevices; globalThis.cameraRequests = 0;
		globalThis.realCamera ??= d.getUserMedia.bind(d);
		d.getUserMedia = what => { cameraRequests++; return realCamera(what); }; return true; })()`)
}

// CheckCameraRequests fails unless the page asked for the camera want times.
func (p *Phone) CheckCameraRequests(want int) {
	p.T.Helper()
	if n := Evaluate[int](p, `cameraRequests`); n != want {
		p.T.Errorf("the camera was asked for %d times, not %d", n, want)
	}
}

// WaitForCameraOff waits until no camera runs.
func (p *Phone) WaitForCameraOff() {
	p.T.Helper()
	p.WaitFor("the camera to be let go", `appModule('/scan/camera.js').then(c => c.camera.value.stream === null)`)
}

// WriteJPEG writes an image as a file, as a photo is one, and returns its path.
func WriteJPEG(t *testing.T, img image.Image) string {
	t.Helper()
	name := filepath.Join(t.TempDir(), fmt.Sprintf("%d.jpg", img.Bounds().Dx()))
	f, err := os.Create(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if err := jpeg.Encode(f, img, &jpeg.Options{Quality: 85}); err != nil {
		t.Fatal(err)
	}
	return name
}

// ChoosePhoto returns a file to the button that takes a photo, as the camera would.
func (p *Phone) ChoosePhoto(file string) {
	p.T.Helper()
	p.WaitFor("the button for a photo", `document.querySelector('.file-button input:enabled')`)
	p.Do(chromedp.SetUploadFiles(chromedp.CSS(".file-button input"), []string{file}))
}

// WaitForPhoto waits until a photo of that name is drawn.
func (p *Phone) WaitForPhoto(name string) {
	p.T.Helper()
	p.WaitFor("a photo of "+name, fmt.Sprintf(`[...document.querySelectorAll('.photo')].some(b => b.getAttribute('aria-label').includes(%q) && b.querySelector('img')?.naturalWidth > 0)`, name))
}
