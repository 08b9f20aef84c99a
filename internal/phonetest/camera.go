//go:build unix

package main

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

	"coldbatch/internal/sheet"
)

// lens is a browser whose camera plays a film that the tests write.
type lens struct {
	browser context.Context
	film    string
}

// startLens starts it once for all tests.
var startLens = sync.OnceValues(func() (lens, error) {
	dir, err := os.MkdirTemp("", "coldbatch-film-")
	if err != nil {
		return lens{}, err
	}
	atEnd = append(atEnd, func() { os.RemoveAll(dir) })
	l := lens{film: filepath.Join(dir, "film.mjpeg")}
	if err := os.WriteFile(l.film, film(nil), 0o644); err != nil { // its first picture says how large they are
		return l, err
	}
	l.browser, err = launch(chromedp.Flag("use-fake-device-for-media-stream", true),
		chromedp.Flag("use-fake-ui-for-media-stream", true), chromedp.Flag("use-file-for-fake-video-capture", l.film))
	return l, err
})

func newLens(t *testing.T) lens {
	t.Helper()
	needBrowser(t)
	l, err := startLens()
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// plays puts scenes before the camera, over and over; each is the texts of the
// codes that are seen at once. A camera that is on goes on with the film before.
func (l lens) plays(t *testing.T, scenes ...[]string) {
	t.Helper()
	next := l.film + ".next"
	if err := os.WriteFile(next, film(scenes), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := os.Rename(next, l.film); err != nil {
		t.Fatal(err)
	}
}

// film draws each scene for two thirds of a second, at the 30 pictures a second of
// Chromium's camera, with nothing to be seen for half of that between.
func film(scenes [][]string) []byte {
	var b bytes.Buffer
	roll := func(pictures int, codes ...string) {
		var one bytes.Buffer
		jpeg.Encode(&one, scene(codes...), &jpeg.Options{Quality: 80})
		for range pictures {
			b.Write(one.Bytes())
		}
	}
	roll(10)
	for _, codes := range scenes {
		roll(20, codes...)
		roll(10)
	}
	return b.Bytes()
}

// scene is a dull table with a paper tag for each code, of as many pixels a module
// as a label of 35 mm has at a forearm's length.
func scene(codes ...string) image.Image {
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

// paintCode draws a code with its quiet zone.
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

// scannerHere waits until the scanner is whole on the phone.
func (p *phone) scannerHere() {
	p.t.Helper()
	p.wait("the scanner to be on the phone", `import('/device/service-worker.js').then(r => r.scans.value)`)
}

// countCamera counts from here on how often the page asks for the camera.
func (p *phone) countCamera() {
	p.t.Helper()
	asked[bool](p, `(() => { const d = navigator.mediaDevices, real = d.getUserMedia.bind(d); globalThis.cameraAsked = 0;
		d.getUserMedia = what => { cameraAsked++; return real(what); }; return true; })()`)
}

func (p *phone) cameraAsked(want int) {
	p.t.Helper()
	if n := asked[int](p, `cameraAsked`); n != want {
		p.t.Errorf("the camera was asked for %d times, not %d", n, want)
	}
}

// cameraOff waits until no camera runs.
func (p *phone) cameraOff() {
	p.t.Helper()
	p.wait("the camera to be let go", `import('/scan/camera.js').then(c => c.camera.value.stream === null)`)
}

// picture writes an image as a file of a photo.
func pictureFile(t *testing.T, img image.Image) string {
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
