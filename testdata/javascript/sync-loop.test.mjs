import assert from 'node:assert/strict';
import { test } from 'node:test';
import { doNothing, loadModule, settle } from './app.mjs';
import { fakeStorage } from './fake-storage.mjs';

globalThis.document = Object.assign(new EventTarget(), { visibilityState: 'hidden', documentElement: { dataset: {} } });
globalThis.indexedDB = fakeStorage({ flushAtOnce: true }).indexedDB;
globalThis.matchMedia = () => ({ matches: false });
globalThis.localStorage = { getItem: () => null, setItem: doNothing };
globalThis.location = new URL('https://coldbatch.local:8443/');

test('the stored state of the hub is read again only when something changed', async () => {
  const { effect } = await import('@preact/signals');
  const { startSync } = await loadModule('/sync/sync-loop.js');
  const { hub } = await loadModule('/sync/hub-state.js');
  const { announceChange } = await loadModule('/journal/changes.js');
  let changes = 0;
  effect(() => {
    hub.value;
    changes++;
  });
  await startSync();
  for (let i = 0; i < 100; i++) await settle();
  const afterStart = changes;
  assert.ok(afterStart <= 4, `hub changed ${afterStart} times at the start`);
  announceChange();
  for (let i = 0; changes === afterStart && i < 10_000; i++) await settle();
  for (let i = 0; i < 100; i++) await settle();
  assert.ok(
    changes > afterStart && changes <= afterStart + 2,
    `hub changed ${changes - afterStart} times for one change`,
  );
});
