//go:build unix

package phonetest

import (
	"context"
	"encoding/json"
	"fmt"

	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"
)

// phoneCookie is the name of the cookie by which the hub knows a phone.
const phoneCookie = "__Host-phone"

// DumpStorage returns all that the app keeps on the phone: its database, its settings and its
// cookie, as JSON. RestoreStorage puts it back.
func (p *Phone) DumpStorage() json.RawMessage {
	p.T.Helper()
	var all map[string]json.RawMessage
	if err := json.Unmarshal([]byte(Evaluate[string](p, dumpStorage)), &all); err != nil {
		p.T.Fatal(err)
	}
	p.Run(func(ctx context.Context) error {
		got, err := chromedp.Call(ctx, network.GetCookies, network.GetCookiesParams{URLs: []string{p.Base}})
		if err != nil {
			return err
		}
		for _, c := range got.Cookies {
			if c.Name == phoneCookie {
				all["cookie"], err = json.Marshal(c.Value)
			}
		}
		return err
	})
	text, err := json.Marshal(all)
	if err != nil {
		p.T.Fatal(err)
	}
	return text
}

// RestoreStorage returns a new phone what DumpStorage gave of another, before it opens the
// app: what was stored by an earlier version stays as that version stored it.
func (p *Phone) RestoreStorage(dump json.RawMessage) {
	p.T.Helper()
	var cookie struct{ Cookie string }
	if err := json.Unmarshal(dump, &cookie); err != nil {
		p.T.Fatal(err)
	}
	p.AllowError(`favicon.ico`) // of the bare page
	p.Do(chromedp.Navigate(p.Base + "/healthz"))
	if cookie.Cookie != "" {
		isSet := true
		p.Run(func(ctx context.Context) error {
			_, err := chromedp.Call(ctx, network.SetCookie, network.SetCookieParams{Name: phoneCookie, Value: cookie.Cookie,
				URL: p.Base + "/", Path: "/", Secure: &isSet, HTTPOnly: &isSet, SameSite: network.CookieSameSiteStrict})
			return err
		})
	}
	if n := Evaluate[int](p, fmt.Sprintf(restoreStorage, dump)); n == 0 {
		p.T.Fatal("the dump has no rows")
	}
}

// ArrayBuffers are written as {$base64: …}.
const dumpStorage = `(async () => {
	const done = r => new Promise((resolve, reject) => { r.onsuccess = () => resolve(r.result); r.onerror = () => reject(r.error); });
	const plain = v => v instanceof ArrayBuffer ? {$base64: btoa(String.fromCharCode(...new Uint8Array(v)))} : v;
	const isObject = v => Object.prototype.toString.call(v) === '[object Object]';
	const db = await done(indexedDB.open('coldbatch')), stores = {};
	for (const name of db.objectStoreNames) {
		const store = db.transaction(name).objectStore(name);
		const [keys, values] = await Promise.all([done(store.getAllKeys()), done(store.getAll())]);
		stores[name] = {
			keyPath: store.keyPath,
			indexes: [...store.indexNames].map(n => store.index(n)).map(i => ({name: i.name, keyPath: i.keyPath, multiEntry: i.multiEntry, unique: i.unique})),
			rows: values.map((v, i) => ({key: keys[i], value: isObject(v) ? Object.fromEntries(Object.entries(v).map(([k, x]) => [k, plain(x)])) : v})),
		};
	}
	const {version} = db;
	db.close();
	return JSON.stringify({version, stores, settings: {...localStorage}});
})()`

const restoreStorage = `(async () => {
	const {version, stores, settings} = %s;
	const bytes = v => v?.$base64 === undefined ? v : Uint8Array.from(atob(v.$base64), c => c.charCodeAt(0)).buffer;
	const isObject = v => Object.prototype.toString.call(v) === '[object Object]';
	const db = await new Promise((resolve, reject) => {
		const r = indexedDB.open('coldbatch', version);
		r.onupgradeneeded = () => {
			for (const [name, {keyPath, indexes}] of Object.entries(stores)) {
				const store = r.result.createObjectStore(name, keyPath === null ? {} : {keyPath});
				for (const i of indexes) store.createIndex(i.name, i.keyPath, {multiEntry: i.multiEntry, unique: i.unique});
			}
		};
		r.onsuccess = () => resolve(r.result);
		r.onerror = () => reject(r.error);
	});
	let n = 0;
	const t = db.transaction(Object.keys(stores), 'readwrite');
	for (const [name, {keyPath, rows}] of Object.entries(stores)) {
		for (const {key, value} of rows) {
			const v = isObject(value) ? Object.fromEntries(Object.entries(value).map(([k, x]) => [k, bytes(x)])) : value;
			keyPath === null ? t.objectStore(name).put(v, key) : t.objectStore(name).put(v);
			n++;
		}
	}
	await new Promise((resolve, reject) => { t.oncomplete = resolve; t.onabort = () => reject(t.error); });
	db.close();
	for (const [name, value] of Object.entries(settings)) localStorage.setItem(name, value);
	return n;
})()`
