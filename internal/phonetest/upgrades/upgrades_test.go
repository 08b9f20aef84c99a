//go:build unix

package upgrades_test

import (
	"encoding/json"
	"errors"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"coldbatch/internal/hubtest"
	"coldbatch/internal/journal"
	"coldbatch/internal/need"
	"coldbatch/internal/phonetest"
)

// Phones of each earlier version open today's app with what they had stored, at today's
// program with the file of then: all of it is shown, what had not been sent is sent, and
// work goes on.
func TestPhonesOfEarlierVersions(t *testing.T) {
	need.CI(t)
	for _, u := range hubtest.Upgrades(t) {
		t.Run(u.Name, func(t *testing.T) {
			h := hubtest.New(t)
			h.Data, h.Port, h.HTTPSPort = u.Unpack(t), u.House.Port, u.House.HTTPS
			h.Start()
			// The phones trust the authority of then, and no other.
			browser := phonetest.TrustingBrowser(t, h.AuthorityFile())
			owner, helper := phonetest.NewPhoneIn(t, browser, h.AppURL()), phonetest.NewPhoneIn(t, browser, h.AppURL())

			dump := u.Phone(t, "phone")
			unsent := unsentFacts(t, dump)
			if len(unsent) != 1 {
				t.Fatalf("of the dump, %d facts were not sent", len(unsent))
			}
			owner.RestoreStorage(dump.Text)
			owner.Open("/")
			owner.WaitForSync()
			has := map[journal.ID]string{}
			for _, f := range h.Facts() {
				has[f.ID] = string(f.Text())
			}
			if has[unsent[0]] == "" {
				t.Error("what was not sent has not come to the hub")
			}
			for _, f := range u.Facts {
				if has[f.ID] != string(f.Text()) {
					t.Errorf("the hub has %s as %q", f.ID, has[f.ID])
				}
			}
			onPhone := map[string]bool{}
			for _, id := range phonetest.Evaluate[[]string](owner, `appModule('/journal/facts.js').then(({allFacts}) => allFacts()).then(all => all.map(f => f.id))`) {
				onPhone[id] = true
			}
			for id := range has {
				if !onPhone[string(id)] {
					t.Errorf("the owner's phone lacks %s", id)
				}
			}

			// Every screen of every batch, bag, place and thing on the shelf.
			owner.GoTo("/batches")
			owner.WaitForText("Market tees", "Picnic cloths, blue")
			for _, path := range phonetest.Evaluate[[]string](owner, everyPath) {
				owner.GoTo(path)
				owner.WaitFor("the heading of "+path, `document.querySelector('h1')?.textContent.trim() && !document.querySelector('.fault[role=alert]')`)
			}
			owner.GoTo(phonetest.Evaluate[string](owner, photographedBag))
			owner.WaitFor("the photo", `[...document.querySelectorAll('.photo img')].some(i => i.naturalWidth > 0)`)

			helper.RestoreStorage(u.Phone(t, "helper").Text)
			batch := "/batch/" + string(u.House.Batch)
			helper.Open(batch)
			helper.WaitForSync()
			before := h.CountFacts(journal.KindBagLooked)
			phonetest.Evaluate[bool](helper, `appModule('/journal/states.js').then(async ({loadState}) => {
				const scope = '`+batch[1:]+`', {record} = await appModule('/journal/journal.js');
				await record([{scope, subject: (await loadState(scope)).bags[0].id, kind: 'bag.looked', body: {seconds: 20}}]);
				return true;
			})`)
			hubtest.WaitUntil(t, "the look on the hub", func() bool { return h.CountFacts(journal.KindBagLooked) == before+1 })
			owner.GoTo(batch + "/history")
			owner.WaitForText("porch phone", "this phone", "opened for a look")
		})
	}
}

// unsentFacts returns the facts that the hub did not have when the dump was made.
func unsentFacts(t *testing.T, p hubtest.PhoneDump) (ids []journal.ID) {
	t.Helper()
	for _, row := range p.Stores["facts"].Rows {
		var fact struct {
			ID      journal.ID
			Pending int
		}
		if err := json.Unmarshal(row.Value, &fact); err != nil {
			t.Fatal(err)
		}
		if fact.Pending > 0 {
			ids = append(ids, fact.ID)
		}
	}
	return ids
}

const everyPath = `(async () => {
	const {loadBatches, loadPlaces, loadShelf} = await appModule('/journal/states.js');
	const paths = ['/', '/bags', '/results', '/scan', '/scan/shelf', '/shelf', '/phone', '/phones', '/check', '/wash'];
	for (const b of await loadBatches('all')) {
		const at = '/batch/' + b.id;
		paths.push(at, ...['plan', 'pieces', 'colours', 'soak', 'jugs', 'bagging', 'labels', 'history', 'share', 'again', 'compare'].map(s => at + '/' + s));
		for (const bag of b.bags) paths.push(...['', '/result', '/why', '/card'].map(s => '/bag/' + b.id + '/' + bag.id + s));
	}
	for (const id of Object.keys(await loadPlaces())) paths.push('/place/' + id);
	for (const item of (await loadShelf()).shelf.items) paths.push('/stock/' + item.id);
	return paths;
})()`

const photographedBag = `appModule('/journal/facts.js').then(({allFacts}) => allFacts())
	.then(all => all.find(f => f.kind === 'piece.photographed')).then(f => '/bag/' + f.scope.split('/')[1] + '/' + f.body.bag)`

// An app that was installed before the upgrade goes on working with the program after it,
// and the app of today with a program that was put back to the version before. It builds
// that version from the history of commits.
func TestAppsAndHubsOfDifferentVersions(t *testing.T) {
	need.CI(t)
	if os.Getenv("COLDBATCH_LONG") == "" {
		t.Skip("it builds an earlier version, and runs with COLDBATCH_LONG=1")
	}
	h := hubtest.New(t)
	newer, older := h.Path, buildCommit(t, "ba6a706")
	h.Path, h.HTTPSPort = older, hubtest.FreePort(t)
	h.Start()
	p := phonetest.NewPhone(t, h.URL())
	p.Open("/")
	startBatch(p, "Written before")
	p.WaitForText("hub has all")
	p.WaitFor("the app to be installed", `navigator.serviceWorker.getRegistration().then(r => r?.active?.state === 'activated')`)
	p.AllowNetworkErrors()
	h.Stop()
	backup := t.TempDir()
	copyFolder(t, h.Data, backup)

	// The older app meets the newer hub.
	h.Path = newer
	h.Start()
	p.Open("/batches")
	p.WaitForText("Written before", "A new version of the app is here")
	phonetest.Evaluate[bool](p, `document.querySelector('a[href="/"]').click(), true`) // a page that is loaded anew would be the newer app's
	startBatch(p, "Written by the older app")
	p.WaitForText("hub has all")
	hubtest.WaitUntil(t, "both batches on the newer hub", func() bool { return h.CountFacts(journal.KindBatchStarted) == 2 })

	// The newer app takes over what the older one stored.
	p.Open("/batches")
	p.WaitFor("the newer app", `document.documentElement.dataset.started === 'yes' && !document.body.innerText.includes('A new version')`)
	p.WaitForText("Written before", "Written by the older app")
	p.WaitForSync()
	p.WaitForInstall()
	p.StartBatch("Written by the newer app")
	p.WaitForSync()

	// The newer app meets the older hub, which was put back from its copy: it sends what
	// that lacks.
	h.Stop()
	copyFolder(t, backup, h.Data)
	h.Path = older
	h.Start()
	p.GoTo("/batches")
	hubtest.WaitUntil(t, "all batches on the older hub", func() bool { return h.CountFacts(journal.KindBatchStarted) == 3 })
	p.WaitForSync()
	p.WaitForText("Written before", "Written by the older app", "Written by the newer app")
}

// startBatch starts a batch on the screens of the app of ba6a706, which has not the modules
// by which phonetest.Phone taps.
func startBatch(p *phonetest.Phone, name string) {
	p.T.Helper()
	button := func(text string) string {
		return `[...document.querySelectorAll('button')].find(b => b.innerText.trim() === '` + text + `' && !b.disabled)`
	}
	p.WaitFor("New batch", button("New batch"))
	phonetest.Evaluate[bool](p, button("New batch")+`.click(), true`)
	p.WaitFor("the name", `document.querySelector('dialog[open] input')`)
	phonetest.Evaluate[bool](p, `(i => { i.value = '`+name+`'; i.dispatchEvent(new Event('input', {bubbles: true})); return true; })(document.querySelector('dialog[open] input'))`)
	p.WaitFor("Start the batch", button("Start the batch"))
	phonetest.Evaluate[bool](p, button("Start the batch")+`.click(), true`)
	p.WaitFor("the batch", `location.pathname.startsWith('/batch/')`)
}

// buildCommit builds the program of a commit.
func buildCommit(t *testing.T, commit string) (path string) {
	t.Helper()
	git := need.Program(t, "git")
	need.Program(t, "tar")
	root, err := exec.Command("go", "list", "-m", "-f", "{{.Dir}}").Output()
	if err != nil {
		t.Fatal(err)
	}
	at := strings.TrimSpace(string(root))
	if exec.Command(git, "-C", at, "cat-file", "-e", commit+"^{commit}").Run() != nil {
		t.Skipf("this copy of the source has no history with commit %s", commit)
	}
	dir := t.TempDir()
	path = filepath.Join(dir, "coldbatch")
	build := exec.Command("sh", "-ec", `git -C "$1" archive "$2" | tar -x; COLDBATCH_QUICK=1 go generate ./...; go build -o "$3" ./cmd/coldbatch`, "sh", at, commit, path)
	build.Dir = dir
	if out, err := build.CombinedOutput(); err != nil {
		t.Fatalf("%s does not build: %v\n%s", commit, err, out)
	}
	return path
}

// copyFolder replaces a folder by a copy of the files of another.
func copyFolder(t *testing.T, from, to string) {
	t.Helper()
	err := os.RemoveAll(to)
	if err == nil {
		err = filepath.WalkDir(from, func(path string, entry fs.DirEntry, err error) error {
			if err != nil || !entry.Type().IsRegular() { // the socket stays behind
				return err
			}
			text, err := os.ReadFile(path)
			if err != nil {
				return err
			}
			name, _ := filepath.Rel(from, path)
			name = filepath.Join(to, name)
			return errors.Join(os.MkdirAll(filepath.Dir(name), 0o700), os.WriteFile(name, text, 0o600))
		})
	}
	if err != nil {
		t.Fatal(err)
	}
}
