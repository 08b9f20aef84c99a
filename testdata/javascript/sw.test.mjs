import assert from 'node:assert/strict';
import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';
import { createContext, runInContext } from 'node:vm';
import { appFolder, doNothing } from './app.mjs';

const hashOf = (text) => `sha256-${createHash('sha256').update(text).digest('base64')}`;
const listOf = (files) => Object.fromEntries(Object.entries(files).map(([path, text]) => [path, hashOf(text)]));

// fetchFrom returns files as the Fetch standard has it (3.3, main fetch): a body that does
// not match the integrity asked for is a network error; without one anything passes.
const fetchFrom = (files) => async (path, options) => {
  const body = files[path];
  if (body === undefined) return new Response('', { status: 404 });
  if (options?.integrity && options.integrity !== hashOf(body)) throw new TypeError('Failed to fetch');
  return new Response(body);
};

class FakeCaches {
  all = new Map();
  async open(name) {
    if (!this.all.has(name)) {
      const files = new Map();
      this.all.set(name, {
        files,
        put: async (path, answer) => files.set(path, await answer.text()),
        match: async (path) => (files.has(path) ? new Response(files.get(path)) : undefined),
      });
    }
    return this.all.get(name);
  }
  has = async (name) => this.all.has(name);
  keys = async () => [...this.all.keys()];
  delete = async (name) => this.all.delete(name);
  filesOf = (name) => Object.fromEntries(this.all.get(name)?.files ?? []);
}

// startWorker runs sw.js of a version that lists assets and second, at a hub that
// serves files; active is the version that runs already. send gives it an event and waits for all that it has to do.
function startWorker({ assets, scanner = {}, served, caches = new FakeCaches(), version = 'v1', active = null }) {
  const handlers = {};
  const self = {
    addEventListener: (kind, handler) => (handlers[kind] = handler),
    clients: { claim: doNothing, matchAll: async () => [] },
    skipWaiting: doNothing,
    registration: { active },
  };
  const quiet = { error: doNothing, warn: doNothing, log: doNothing };
  const scope = createContext({
    self,
    caches,
    console: quiet,
    fetch: fetchFrom(served),
    crypto,
    Response,
    URL,
    AbortSignal,
    btoa,
    location: new URL('https://coldbatch.local:8443/sw.js'),
  });
  const lists = `const VERSION = '${version}', ASSETS = ${JSON.stringify(listOf(assets))}, GROUPS = ${JSON.stringify({ scanner: listOf(scanner), other: {} })};\n`;
  runInContext(lists + readFileSync(new URL('sw.js', appFolder), 'utf8'), scope);
  const send = async (kind, event = {}) => {
    let work;
    handlers[kind]({ ...event, waitUntil: (promise) => (work = promise), respondWith: (promise) => (work = promise) });
    return work;
  };
  const ask = (data) => new Promise((resolve) => send('message', { data, ports: [{ postMessage: resolve }] }));
  return { send, ask, caches };
}

const app = { '/': '<html>', '/main.js': 'start()' };
const scanner = { '/scanner.wasm': 'a reader of codes' };

test('a version is cached as a whole', async () => {
  const worker = startWorker({ assets: app, scanner, served: { ...app, ...scanner } });
  await worker.send('install');
  assert.deepEqual(worker.caches.filesOf('coldbatch-v1'), app);
});

test('a version is not cached if a file does not match its hash', async () => {
  const worker = startWorker({ assets: app, served: { ...app, '/main.js': 'of another version' } });
  await assert.rejects(worker.send('install'));
  assert.equal(await worker.caches.has('coldbatch-v1'), false);
});

test('a version is not cached if a file is missing', async () => {
  const worker = startWorker({ assets: app, served: { '/': '<html>' } });
  await assert.rejects(worker.send('install'));
  assert.equal(await worker.caches.has('coldbatch-v1'), false);
});

test('a group of files is checked against its hash too', async () => {
  const served = { ...app, '/scanner.wasm': 'spoiled on the way' };
  const worker = startWorker({ assets: app, scanner, served });
  await worker.send('install');
  assert.equal(await worker.ask({ fill: 'scanner' }), false);
  assert.deepEqual(worker.caches.filesOf('coldbatch-v1'), app);
  served['/scanner.wasm'] = scanner['/scanner.wasm'];
  assert.equal(await worker.ask({ fill: 'other' }), true);
  assert.deepEqual(worker.caches.filesOf('coldbatch-v1'), app, 'a group comes when it is asked for by its name');
  assert.equal(await worker.ask({ fill: 'scanner' }), true);
  assert.deepEqual(worker.caches.filesOf('coldbatch-v1'), { ...app, ...scanner });
});

test('an update copies unchanged files of a group, and deletes the older version', async () => {
  for (const [kept, expected] of [
    ['a reader of codes', { ...app, ...scanner }],
    ['spoiled on the phone', app],
  ]) {
    const caches = new FakeCaches();
    await (await caches.open('coldbatch-v0')).put('/scanner.wasm', new Response(kept));
    await caches.open('of-another-app');
    const worker = startWorker({ assets: app, scanner, served: app, caches });
    await worker.send('install');
    await worker.send('activate');
    assert.deepEqual(await caches.keys(), ['of-another-app', 'coldbatch-v1']);
    assert.deepEqual(caches.filesOf('coldbatch-v1'), expected);
  }
});

test('an update brings its groups along, or is not installed', async () => {
  const served = { ...app };
  const worker = startWorker({ assets: app, scanner, served, active: {} });
  await assert.rejects(worker.send('install'));
  assert.equal(await worker.caches.has('coldbatch-v1'), false);
  Object.assign(served, scanner);
  await worker.send('install');
  assert.deepEqual(worker.caches.filesOf('coldbatch-v1'), { ...app, ...scanner });
});

test('files and pages of the app come from the cache, calls to the hub do not', async () => {
  const worker = startWorker({ assets: app, served: app });
  await worker.send('install');
  const request = (path, mode = 'no-cors', method = 'GET') => ({
    request: { url: `https://coldbatch.local:8443${path}`, method, mode },
  });
  assert.equal(await (await worker.send('fetch', request('/main.js'))).text(), 'start()');
  assert.equal(await (await worker.send('fetch', request('/batch/abc', 'navigate'))).text(), '<html>');
  for (const path of ['/api/v1/about', '/healthz', '/sw.js', '/elsewhere'])
    assert.equal(await worker.send('fetch', request(path)), undefined, path);
  assert.equal(await worker.send('fetch', request('/main.js', 'cors', 'POST')), undefined);
});
