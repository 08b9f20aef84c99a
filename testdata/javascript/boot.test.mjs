// boot.js is a plain script: each test runs it on a fresh page.
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';
import { createContext, runInContext } from 'node:vm';
import { appFolder, doNothing, settle } from './app.mjs';

const script = readFileSync(new URL('boot.js', appFolder), 'utf8');

// startPage returns a page that boot.js runs on. shown is what it put on it.
function startPage({
  readyState = 'complete',
  hubAnswers = true,
  pathname = '/',
  lastToday = null,
  example = null,
} = {}) {
  const listeners = {};
  const page = { shown: [], deleted: [], unregistered: 0, reloads: 0, listeners, timers: [] };
  const element = (name) => ({
    name,
    parts: [],
    append: function (...parts) {
      this.parts.push(...parts);
    },
    addEventListener: function (kind, listener) {
      this[`on${kind}`] = listener;
    },
  });
  const head = { ...element('div'), parts: [] };
  page.head = head;
  const document = {
    readyState,
    querySelector: () => head,
    documentElement: { dataset: {} },
    getElementById: (id) => page.shown.find((box) => box.id === id) ?? null,
    createElement: element,
    body: { append: (box) => page.shown.push(box) },
    addEventListener: (kind, listener) => (listeners[kind] = listener),
  };
  const scope = {
    document,
    addEventListener: (kind, listener) => (listeners[kind] = listener),
    setTimeout: (work) => page.timers.push(work),
    console: { error: doNothing },
    AbortSignal,
    fetch: async () => ({ ok: hubAnswers, status: hubAnswers ? 200 : 502 }),
    caches: {
      keys: async () => ['coldbatch-v1', 'coldbatch-v2', 'another app'],
      delete: async (name) => page.deleted.push(name),
    },
    navigator: { serviceWorker: { getRegistrations: async () => [{ unregister: async () => page.unregistered++ }] } },
    location: { pathname, reload: () => page.reloads++ },
    localStorage: { getItem: (key) => (key === 'last-today' ? lastToday : example) },
  };
  runInContext(script, createContext(scope));
  page.document = document;
  page.repair = async () => {
    page.shown[0].parts.find((part) => part.name === 'button').onclick();
    for (let i = 0; i < 20; i++) await settle();
  };
  page.textShown = () => page.shown.flatMap((box) => box.parts.map((part) => part.textContent));
  return page;
}

const missingScript = { target: { tagName: 'SCRIPT', src: '/main.js' } };

test('a missing file is reported at once, and only once', () => {
  const page = startPage();
  page.listeners.error(missingScript);
  page.listeners.error(missingScript);
  assert.equal(page.shown.length, 1);
  assert.ok(page.textShown().includes('The app did not start'));
});

test('while the page is still loading, the report waits until there is a page to show it on', () => {
  const page = startPage({ readyState: 'loading' });
  page.listeners.error(missingScript);
  assert.equal(page.shown.length, 0);
  page.listeners.DOMContentLoaded();
  assert.equal(page.shown.length, 1);
});

test('neither a missing style sheet nor an error after the start shows the report', () => {
  const page = startPage();
  page.listeners.error({ target: { tagName: 'LINK', href: '/css/base.css' } });
  page.document.documentElement.dataset.started = 'yes';
  page.listeners.error(missingScript);
  for (const work of page.timers) work();
  assert.equal(page.shown.length, 0);
});

test('a start that gives no sign counts as failed after a while', () => {
  const page = startPage();
  for (const work of page.timers) work();
  assert.equal(page.shown.length, 1);
});

test('a repair fetches the app afresh and touches nothing of another app', async () => {
  const page = startPage();
  page.listeners.error(missingScript);
  await page.repair();
  assert.deepEqual(page.deleted, ['coldbatch-v1', 'coldbatch-v2']);
  assert.deepEqual([page.unregistered, page.reloads], [1, 1]);
});

test('without the hub nothing is deleted, because it could not be fetched again', async () => {
  const page = startPage({ hubAnswers: false });
  page.listeners.error(missingScript);
  await page.repair();
  assert.deepEqual([page.deleted, page.unregistered, page.reloads], [[], 0, 0]);
  assert.ok(page.textShown().some((text) => /hub does not answer/.test(text)));
});

test('until the app has started, Today is shown as it was, with its time', () => {
  const lastToday = JSON.stringify({
    at: 'Sun 29 Nov, 14:05',
    title: '2 bags are ready',
    lines: ['Bag 4, tee: <b>now</b>'],
  });
  const text = (page) => page.head.parts.map((part) => part.textContent);
  const today = ['As of Sun 29 Nov, 14:05', '2 bags are ready', 'Bag 4, tee: <b>now</b>'];
  assert.deepEqual(text(startPage({ lastToday })), today);
  assert.deepEqual(text(startPage({ lastToday, pathname: '/batches' })), []);
  assert.deepEqual(text(startPage({ lastToday, example: 'here' })), []);
  assert.deepEqual(text(startPage()), []);
  assert.deepEqual(text(startPage({ lastToday: 'not JSON' })), []);
});
