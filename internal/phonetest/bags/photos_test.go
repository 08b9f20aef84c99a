//go:build unix

package bags_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"math/rand"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"coldbatch/internal/hubtest"
	"coldbatch/internal/journal"
	"coldbatch/internal/need"
	"coldbatch/internal/phonetest"
)

// storedPhoto is what a phone keeps of a photo.
type storedPhoto struct {
	Hash    string
	Size    int
	Exif    bool
	W, H    int
	Pending int
}

// A photo is taken on a phone with the program gone, outlasts a new page, goes to
// the program when that is back, again where that lost it, is seen by another phone, and
// is taken back.
func TestPhoto(t *testing.T) {
	need.CI(t)
	t.Parallel()
	h, p, batch := phonetest.StartPlanned(t)
	p.GoTo(batch + "/bagging")
	p.Tap("Close bag 1")
	p.WaitForText("Bag 1 closed")
	p.WaitForSync()
	p.WaitForInstall()
	bag := phonetest.Evaluate[string](p, `appModule('/journal/states.js').then(async ({loadBatches}) => { const [b] = await loadBatches(); return '/bag/' + b.id + '/' + b.bags[0].id; })`)

	p.AllowNetworkErrors()
	h.Stop()
	p.GoTo(bag)
	p.ChoosePhoto(takeJPEG(t, 4000, 3000))
	p.WaitForText("Photo of bag 1 saved", "1 photo to send")
	p.WaitForPhoto("")
	p.Open(bag)
	p.WaitForPhoto("")
	p.Tap("Open early")
	p.Tap("Yes, go on")
	p.WaitForText("Bag 1 opened", "opened today") // the photo says what the screen said
	p.ChoosePhoto(takeJPEG(t, 600, 900))
	p.WaitForText("2 photos to send")

	// What is kept is small, and says nothing of where and when it was taken.
	kept := phonetest.Evaluate[[]storedPhoto](p, `appModule('/journal/db.js').then(({transact}) => transact(['photos'], 'readonly', t => t.photos.getAll())).then(rows => Promise.all(rows.map(async r => {
		const text = new TextDecoder('latin1').decode(r.bytes), {width, height} = await createImageBitmap(new Blob([r.bytes]));
		return {hash: r.hash, size: r.bytes.byteLength, exif: /Exif|GPS|a camera/.test(text), w: width, h: height, pending: r.pending};
	})))`)
	sizes := map[[2]int]bool{}
	for _, k := range kept {
		sizes[[2]int{k.W, k.H}] = true
		if k.Size > 400_000 || k.Exif || k.Pending != 1 {
			t.Errorf("kept is %+v", k)
		}
	}
	if len(kept) != 2 || !sizes[[2]int{1600, 1200}] || !sizes[[2]int{600, 900}] {
		t.Errorf("kept are %+v", kept)
	}

	h.Start()
	p.WaitForSync()
	for _, k := range kept {
		b, err := os.ReadFile(photoFile(h, k.Hash))
		if err != nil || len(b) != k.Size {
			t.Errorf("the program has %d bytes of %d, %v", len(b), k.Size, err)
		}
	}
	for _, f := range h.Facts() {
		if b, ok := journal.DecodeBody[journal.PiecePhotographed](f); ok && f.Kind == journal.KindPiecePhotographed && (b.Bag == "" || !strings.HasSuffix(bag, string(b.Bag)) || len(f.Body) > 200) {
			t.Errorf("the entry of a photo is %s", f.Body)
		}
	}

	// A photo that nobody near has.
	for _, k := range kept {
		if err := os.Remove(photoFile(h, k.Hash)); err != nil {
			t.Fatal(err)
		}
	}
	other := phonetest.NewPhone(t, h.URL())
	other.AllowError(`the server responded with a status of 404`)
	other.Open(bag)
	other.WaitForText("Photo is on another phone")
	other.Audit("a photo on another phone")

	// The program was put back from an old copy: who has them sends them again.
	p.AllowError(`the server responded with a status of 404`)
	phonetest.Evaluate[bool](p, `appModule('/sync/photos.js').then(({markPhotosUnsent}) => markPhotosUnsent()).then(() => appModule('/sync/sync-loop.js')).then(({requestSync}) => { requestSync(); return true; })`)
	hubtest.WaitUntil(t, "the photos on the program", func() bool {
		return !slices.ContainsFunc(kept, func(k storedPhoto) bool {
			_, err := os.Stat(photoFile(h, k.Hash))
			return err != nil
		})
	})
	p.WaitForSync()
	other.Open(bag)
	other.WaitForPhoto("napkin, in its bag")
	other.WaitForPhoto("napkin, opened")
	other.GoTo("/batch/" + strings.Split(bag, "/")[2] + "/history")
	other.WaitForText("Photo of napkin, opened")
	other.WaitForPhoto("opened")

	// Looked at, and taken back: the other phone shows it no more.
	p.Tap("Photo: napkin, in its bag…")
	p.WaitFor("the large picture", `[...document.querySelectorAll('dialog[open] img')].some(i => i.naturalWidth === 1600)`)
	p.Audit("a photo")
	p.Tap("Remove photo")
	p.WaitForText("Undone")
	p.WaitForSync()
	other.GoTo(bag)
	other.WaitFor("one photo", `document.querySelectorAll('.photo img').length === 1`)
	p.Tap("Redo")
	p.WaitForSync()
	other.WaitFor("two photos", `document.querySelectorAll('.photo img').length === 2`)
}

// A phone that comes with the storage of the app before photos keeps its journal.
func TestStorageOfAnOlderApp(t *testing.T) {
	need.CI(t)
	t.Parallel()
	_, p, batch := phonetest.StartPlanned(t)
	p.WaitForSync()
	rows := phonetest.Evaluate[json.RawMessage](p, `appModule('/journal/db.js').then(({transact}) => transact(['facts', 'heads'], 'readonly', async t => ({facts: await t.facts.getAll(), heads: await t.heads.getAll()})))`)
	p.BlockSync()               // what it shows it had
	p.AllowError(`favicon.ico`) // of the bare page
	p.Do(chromedp.Navigate(p.Base + "/healthz"))
	phonetest.Evaluate[bool](p, `new Promise((done, failed) => {
		const request = indexedDB.deleteDatabase('coldbatch');
		request.onsuccess = () => done(true);
		request.onerror = () => failed(request.error);
	})`)
	phonetest.Evaluate[bool](p, fmt.Sprintf(`new Promise((done, failed) => {
		const rows = %s, request = indexedDB.open('coldbatch', 1);
		request.onupgradeneeded = () => {
			const db = request.result;
			const facts = db.createObjectStore('facts', {keyPath: 'id'});
			facts.createIndex('scope', 'scope');
			facts.createIndex('pending', 'pending');
			const heads = db.createObjectStore('heads', {keyPath: 'scope'});
			heads.createIndex('list', 'list');
			heads.createIndex('tokens', 'tokens', {multiEntry: true});
			db.createObjectStore('states');
			db.createObjectStore('meta');
			for (const row of rows.facts) facts.put({...row, pending: 1});
			for (const row of rows.heads) heads.put({...row, made: 0, version: 1});
		};
		request.onsuccess = () => { request.result.close(); done(true); };
		request.onerror = () => failed(request.error);
	})`, rows))
	p.Open(batch)
	p.WaitForText("Picnic cloths", "120 g dry", "to send")
}

// takeJPEG is a picture as a camera writes it: large, with grain, and with the
// camera's notes of place and device (Exif 2.32, 4.5.4: APP1 behind SOI).
func takeJPEG(t *testing.T, w, h int) string {
	t.Helper()
	r := rand.New(rand.NewSource(int64(w)))
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			grain := uint8(r.Intn(40))
			img.SetRGBA(x, y, color.RGBA{uint8(120 + 100*x/w), uint8(60+80*y/h) + grain, 40 + grain, 255})
		}
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: 92}); err != nil {
		t.Fatal(err)
	}
	notes := "Exif\x00\x00MM\x00*\x00\x00\x00\x08\x00\x00 GPS a camera"
	app1 := append([]byte{0xff, 0xd8, 0xff, 0xe1, 0, byte(len(notes) + 2)}, notes...)
	name := filepath.Join(t.TempDir(), fmt.Sprintf("photo-%d.jpg", w))
	if err := os.WriteFile(name, append(app1, b.Bytes()[2:]...), 0o600); err != nil {
		t.Fatal(err)
	}
	return name
}

// photoFile is where the program keeps a photo.
func photoFile(h *hubtest.Hub, hash string) string {
	return filepath.Join(h.Data, "photos", hash[:2], hash)
}
