//go:build unix

package upgrades_test

import (
	"bytes"
	"compress/gzip"
	"encoding/json"
	"io/fs"
	"os"
	"path/filepath"
	"testing"

	"coldbatch/internal/hubtest"
	"coldbatch/internal/journal"
	"coldbatch/internal/phonetest"
)

// TestMakeUpgrade writes a folder for testdata/upgrades, with the name of this commit, into
// the folder that COLDBATCH_UPGRADE names. It goes on from the newest folder there: its
// phones and its file come to today's version, and record every kind of fact that is new.
func TestMakeUpgrade(t *testing.T) {
	out := os.Getenv("COLDBATCH_UPGRADE")
	if out == "" {
		t.Skip("COLDBATCH_UPGRADE names no folder")
	}
	before := hubtest.Upgrades(t)
	u := before[len(before)-1]
	for _, x := range before {
		if len(x.Facts) > len(u.Facts) {
			u = x // each has all that the one before it had
		}
	}
	h := hubtest.New(t)
	h.Data, h.Port, h.HTTPSPort = u.Unpack(t), u.House.Port, u.House.HTTPS
	h.Start()
	browser := phonetest.TrustingBrowser(t, h.AuthorityFile())
	owner, helper := phonetest.NewPhoneIn(t, browser, h.AppURL()), phonetest.NewPhoneIn(t, browser, h.AppURL())
	owner.RestoreStorage(u.Phone(t, "phone").Text)
	helper.RestoreStorage(u.Phone(t, "helper").Text)
	owner.Open("/")
	owner.WaitForSync()
	phonetest.Evaluate[bool](owner, newKinds)
	owner.WaitForSync()
	helper.Open("/batch/" + string(u.House.Batch))
	helper.WaitForSync()

	var lines bytes.Buffer
	kinds := map[string]bool{}
	hubtest.WaitUntil(t, "the hub to have all", func() bool { return h.CountFacts(journal.KindCalendarOpened) > 0 })
	for _, f := range h.Facts() {
		lines.Write(append(f.Text(), '\n'))
		kinds[f.Kind] = true
	}
	for _, k := range journal.Kinds {
		if !kinds[k.Name] {
			t.Errorf("no fact of %s: record one in newKinds", k.Name)
		}
	}
	for _, p := range []*phonetest.Phone{owner, helper} {
		p.GoTo("/batch/" + string(u.House.Batch))
		p.WaitForSync()
		p.AllowNetworkErrors()
	}
	h.Stop()
	phonetest.Evaluate[bool](owner, `appModule('/journal/states.js').then(async ({loadPlaces}) => {
		const id = Object.keys(await loadPlaces()).sort()[0], {record} = await appModule('/journal/journal.js');
		await record([{scope: 'place/' + id, subject: id, kind: 'place.read', body: {celsius: 15}}]);
		return true;
	})`)
	house, err := json.MarshalIndent(u.House, "", "\t")
	if err != nil {
		t.Fatal(err)
	}
	write(t, filepath.Join(out, "house.json"), append(house, '\n'))
	writeGzip(t, filepath.Join(out, "facts.jsonl.gz"), lines.Bytes())
	writeGzip(t, filepath.Join(out, "phone.json.gz"), owner.DumpStorage())
	writeGzip(t, filepath.Join(out, "helper.json.gz"), helper.DumpStorage())
	err = fs.WalkDir(os.DirFS(h.Data), ".", func(name string, entry fs.DirEntry, err error) error {
		if err != nil || !entry.Type().IsRegular() {
			return err
		}
		text, err := os.ReadFile(filepath.Join(h.Data, name))
		if to := filepath.Join(out, "data", name); name == "coldbatch.db" {
			writeGzip(t, to+".gz", text)
		} else {
			write(t, to, text)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}

func write(t *testing.T, path string, text []byte) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, text, 0o644); err != nil {
		t.Fatal(err)
	}
}

func writeGzip(t *testing.T, path string, text []byte) {
	t.Helper()
	var b bytes.Buffer
	z, err := gzip.NewWriterLevel(&b, gzip.BestCompression)
	if err != nil {
		t.Fatal(err)
	}
	if _, err = z.Write(text); err == nil {
		err = z.Close()
	}
	if err != nil {
		t.Fatal(err)
	}
	write(t, path, b.Bytes())
}

// newKinds records what was added since the version before.
const newKinds = `(async () => {
	const {call} = await appModule('/core/core.js'), {record} = await appModule('/journal/journal.js');
	const {loadPlaces, loadShelf} = await appModule('/journal/states.js'), {allFacts} = await appModule('/journal/facts.js');
	const hour = 3600e3, now = Date.now(), ids = await call('id.new', {n: 30}), next = () => ids.pop();
	const put = (scope, subject, kind, body, hours = 1) => record([{scope, subject, kind, body, at: Math.round(now - hours * hour)}]);
	const place = Object.keys(await loadPlaces()).sort()[0], powder = (await loadShelf()).shelf.items.find(x => x.sort === 'dye').id;
	const photo = (await allFacts()).find(f => f.kind === 'piece.photographed').body.sha256;

	await put('place/' + place, place, 'place.extremes', {low: 9, high: 21, low_at: now - 8 * hour, high_at: now - 16 * hour, where: 'air'});
	await put('shelf', powder, 'stock.changed', {lot: '7', opened: now - 400 * hour, keep: 50});
	await put('shelf', next(), 'sums.set', {currency: 'EUR', hourly: 15, margin: 0.3, hardness: 180});
	const design = next();
	await put('designs', design, 'design.kept', {name: 'snail shell', code: 'MQ'});
	await put('designs', design, 'design.tried', {fold: 'spiral', white_share: 0.25, effect: 0.8, note: 'tight'});
	await put('house', next(), 'calendar.opened', {name: 'kitchen tablet', hash: 'an invented hash'});

	const batch = next(), s = 'batch/' + batch, b = (subject, kind, body, hours) => put(s, subject, kind, body, hours);
	const cases = next(), part = next(), torn = next(), rust = next(), loud = next(), bath = next(), jug = next(), bag = next();
	await b(batch, 'batch.started', {name: 'Porch pillowcases', secret: next(), note: 'invented', rinse: now + 40 * hour}, 30);
	await b(cases, 'piece.added', {kind: 'pillowcase', count: 4, grams: 142, fibre: 'cotton', fold: 'spiral', owner: 'next door', price: 3, colours: [{colour: rust, share: 1}]}, 29);
	await b(torn, 'piece.added', {kind: 'napkin', count: 1, grams: 40, blend: [{fibre: 'cotton', share: 0.6}, {fibre: 'polyester', share: 0.4}]}, 29);
	await b(cases, 'piece.split', {into: part, count: 1}, 28.9);
	await b(torn, 'piece.removed', {note: 'torn'}, 28.8);
	await b(rust, 'colour.chosen', {name: 'rust', caps: 'RU', rgb: '#a8502a', class: 'dichlorotriazine', strength: 26.2, depth: 1, stock: powder, on_cloth: 0.02, holds: 240, bottles: 2}, 28.7);
	await b(loud, 'colour.chosen', {name: 'red', caps: 'RE', rgb: '#b01030', class: 'vinyl-sulfone', strength: 26, depth: 1}, 28.7);
	await b(loud, 'colour.removed', {note: 'too loud'}, 28.6);
	await b(cases, 'piece.designed', {name: 'snail shell', code: 'MQ', fold: 'spiral', steps: [{side: 'a', section: 1, colour: rust, ml: 40}]}, 28.5);
	await b(batch, 'powder.opened', {note: 'by the sink'}, 28.4);
	await b(jug, 'jug.mixed', {colour: rust, powder: 6.3, ml: 240, stock: powder}, 28.3);
	await b(jug, 'jug.topped', {powder: 1.5, ml: 50}, 28.2);
	await b(batch, 'powder.closed', {note: 'wiped up'}, 28.1);
	await b(bath, 'soak.mixed', {water: 3000, soda: 150, form: 'anhydrous', celsius: 30, hardness: 180}, 28);
	await b(bath, 'soak.dissolved', {clear: true}, 27.9);
	await b(cases, 'piece.taken', {count: 1}, 27);
	await b(bag, 'bag.closed', {number: 301, pieces: [{piece: cases, count: 1}], colours: [{colour: rust, share: 1}], place, celsius: 20}, 26);
	await b(bag, 'bag.opened', {}, 2);
	await b(bag, 'result.colour-read', {lab: [50, 20, 30], error: 4, sha256: photo, washes: 3}, 1);
	return true;
})()`
