//go:build unix

package main

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
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"coldbatch/internal/journal"
)

// A photo is taken on a phone with the program gone, outlasts a new page, goes to
// the program when that is back, is seen by another phone, and is taken back.
func TestPhoto(t *testing.T) {
	h := newHouse(t)
	p := newPhone(t, h.url())
	p.open("/")
	p.open(p.plan("Picnic cloths") + "/bagging")
	p.tap("Close bag 1")
	p.see("Bag 1 closed")
	p.settled()
	p.installed()
	bag := asked[string](p, `import('/journal/states.js').then(async ({batches}) => { const [b] = await batches(); return '/bag/' + b.id + '/' + b.bags[0].id; })`)
	other := newPhone(t, h.url())
	other.allow(`the server responded with a status of 404`) // the entry comes before the picture
	other.open(bag)
	other.see("Photos")

	p.alone()
	other.alone()
	h.stop()
	p.open(bag)
	p.take(snapshot(t, 4000, 3000))
	p.see("Photo of bag 1 kept", "1 photo waits")
	p.showsPhoto("")
	p.open(bag)
	p.showsPhoto("")
	p.tap("Open it early")
	p.see("Bag 1 opened", "opened today") // the photo says what the screen said
	p.take(snapshot(t, 600, 900))
	p.see("2 photos wait")

	// What is kept is small, and says nothing of where and when it was taken.
	kept := asked[[]struct {
		Hash    string
		Size    int
		Exif    bool
		W, H    int
		Pending int
	}](p, `import('/journal/db.js').then(({transact}) => transact(['photos'], 'readonly', t => t.photos.all())).then(rows => Promise.all(rows.map(async r => {
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

	h.start()
	p.settled()
	for _, k := range kept {
		b, err := photosOf(h.data).Get(k.Hash)
		if err != nil || len(b) != k.Size {
			t.Errorf("the program has %d bytes of %d, %v", len(b), k.Size, err)
		}
	}
	for _, f := range h.facts() {
		if b, ok := journal.DecodeBody[journal.PiecePhotographed](f); ok && f.Kind == "piece.photographed" && (b.Bag == "" || !strings.HasSuffix(bag, string(b.Bag)) || len(f.Body) > 200) {
			t.Errorf("the entry of a photo is %s", f.Body)
		}
	}

	other.open(bag)
	other.showsPhoto("napkin, in its bag")
	other.showsPhoto("napkin, opened")
	other.open("/batch/" + strings.Split(bag, "/")[2] + "/history")
	other.see("Photo of napkin, opened")
	other.showsPhoto("opened")

	// Looked at, and taken back: the other phone shows it no more.
	p.open(bag)
	p.tap("Photo: napkin, in its bag…")
	p.wait("the large picture", `[...document.querySelectorAll('dialog[open] img')].some(i => i.naturalWidth === 1600)`)
	p.audit("a photo")
	p.tap("Take it back")
	p.see("Taken back")
	p.settled()
	other.open(bag)
	other.wait("one photo", `document.querySelectorAll('.photo img').length === 1`)
	p.tap("Redo")
	p.settled()
	other.wait("two photos", `document.querySelectorAll('.photo img').length === 2`)

	// A photo that nobody near has.
	for _, k := range kept {
		if err := os.Remove(filepath.Join(h.data, "photos", k.Hash[:2], k.Hash)); err != nil {
			t.Fatal(err)
		}
	}
	third := newPhone(t, h.url())
	third.allow(`the server responded with a status of 404`)
	third.open(bag)
	third.see("Photo is on another phone")
	third.audit("a photo on another phone")

	p.allow(`the server responded with a status of 404`)

	// The program was put back from an old copy: who has them sends them again.
	asked[bool](p, `import('/sync/photos.js').then(({sendAgain}) => sendAgain()).then(() => import('/sync/sync-loop.js')).then(({kick}) => { kick(); return true; })`)
	p.see("photos wait")
	p.settled()
	third.open(bag)
	third.showsPhoto("napkin, opened")
}

// What is no picture is said to be none, and nothing is kept of it.
func TestPhotoThatIsNone(t *testing.T) {
	h := newHouse(t)
	p := newPhone(t, h.url())
	p.open("/")
	p.open(p.plan("Picnic cloths") + "/bagging")
	p.tap("Close bag 1")
	p.tap("Bag 1…")
	p.see("Photos")
	name := filepath.Join(t.TempDir(), "notes.jpg")
	if err := os.WriteFile(name, []byte("not a picture"), 0o600); err != nil {
		t.Fatal(err)
	}
	p.take(name)
	p.see("This picture cannot be read here")
	p.audit("no picture")
}

// A phone that comes with the storage of the app before photos keeps its journal.
func TestStorageOfAnOlderApp(t *testing.T) {
	h := newHouse(t)
	p := newPhone(t, h.url())
	p.open("/")
	batch := p.plan("Picnic cloths")
	p.settled()
	rows := asked[json.RawMessage](p, `import('/journal/db.js').then(({transact}) => transact(['facts', 'heads'], 'readonly', async t => ({facts: await t.facts.all(), heads: await t.heads.all()})))`)
	old := newPhone(t, h.url())
	old.apart()              // what it shows it had
	old.allow(`favicon.ico`) // of the bare page
	old.do(chromedp.Navigate(old.base + "/healthz"))
	asked[bool](old, fmt.Sprintf(`new Promise((done, failed) => {
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
	old.open(batch)
	old.see("Picnic cloths", "120 g dry", "entries wait")
}

// take gives a file to the button that takes a photo, as the camera would.
func (p *phone) take(file string) {
	p.t.Helper()
	p.wait("the button for a photo", `document.querySelector('.snap input:enabled')`)
	p.do(chromedp.SetUploadFiles(chromedp.CSS(".snap input"), []string{file}))
}

// showsPhoto waits until a photo of that name is drawn.
func (p *phone) showsPhoto(name string) {
	p.t.Helper()
	p.wait("a photo of "+name, fmt.Sprintf(`[...document.querySelectorAll('.photo')].some(b => b.getAttribute('aria-label').includes(%q) && b.querySelector('img')?.naturalWidth > 0)`, name))
}

// snapshot is a picture as a camera writes it: large, with grain, and with the
// camera's notes of place and device (Exif 2.32, 4.5.4: APP1 behind SOI).
func snapshot(t *testing.T, w, h int) string {
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
