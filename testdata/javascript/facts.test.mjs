import assert from 'node:assert/strict';
import { beforeEach, test } from 'node:test';
import { loadModule } from './app.mjs';
import { fakeStorage } from './fake-storage.mjs';

const storage = fakeStorage({ flushAtOnce: true });
globalThis.indexedDB = storage.indexedDB;
const facts = await loadModule('/journal/facts.js');
await facts.allFacts(); // opens the storage

const batch = 'batch/b1';
const fact = (id, scope = batch) => ({ id, scope, kind: 'bag.looked', body: {} });
const row = (id) => storage.rows('facts').get(id);
const seenStamp = () => storage.rows('meta').get('seen');

beforeEach(() => {
  for (const name of ['facts', 'heads', 'meta']) storage.rows(name).clear();
});

test('the latest stamp seen never goes back', async () => {
  for (const [stamp, expected] of [
    ['0000000000050000', '0000000000050000'],
    ['0000000000040000', '0000000000050000'],
    ['0000000000050001', '0000000000050001'],
    ['', '0000000000050001'],
  ]) {
    await facts.storeFacts([], { values: { seen: stamp } });
    assert.equal(seenStamp(), expected, `after ${stamp}`);
  }
  await facts.markAllUnsent({ seen: '0000000000000000' });
  assert.equal(seenStamp(), '0000000000050001');
});

test('a clock that ran ahead comes back, but not behind any fact that is not ahead', async () => {
  const now = 1777719600000;
  const stamp = (ms) => `${ms.toString(16).padStart(12, '0')}0000`;
  const far = stamp(now + 86400001);
  await facts.storeFacts([
    { ...fact('near'), stamp: stamp(now + 1) },
    { ...fact('far'), stamp: far },
  ]);
  const steps = { resend: false, settle: [], leave: [], refuse: [], keep: [] };
  for (const [had, expected] of [
    [far, stamp(now + 1)],
    [stamp(now + 86400000), stamp(now + 86400000)],
  ]) {
    storage.rows('meta').set('seen', had);
    await facts.applyAnswer(steps, [], { seen: stamp(now), latest: now });
    assert.equal(seenStamp(), expected, `after ${had}`);
  }
  await facts.storeFacts([], { values: { seen: far } });
  await facts.storeFacts([], { values: { seen: stamp(now) } });
  assert.equal(seenStamp(), far, 'without the time of the hub it stays');
});

test('own facts are unsent, facts from the hub are not', async () => {
  await facts.storeFacts([fact('a'), fact('b')], { isOwn: true });
  await facts.storeFacts([fact('c'), fact('a')]);
  assert.deepEqual([row('a').pending, row('b').pending, row('c').pending], [1, 1, undefined]);
  assert.equal(await facts.countUnsent(), 2);
  assert.deepEqual(
    (await facts.unsentFacts(1)).map((f) => f.id),
    ['a'],
  );
  assert.equal(await facts.hubLacks('a'), true);
  assert.equal(await facts.hubLacks('c'), false);
});

test('a known fact is not new, and each new one makes the state of its scope stale', async () => {
  const other = [fact('p', 'place/p1'), fact('s', 'shelf'), fact('h', 'house')];
  assert.equal((await facts.storeFacts([fact('a'), ...other])).length, 4);
  assert.equal((await facts.storeFacts([fact('a'), fact('b')])).length, 1);
  const heads = storage.rows('heads');
  assert.deepEqual([...heads.keys()], [batch, 'place/p1', 'shelf']);
  assert.equal(heads.get(batch).have, 2);
  assert.equal(heads.get(batch).list, 'batch-open');
  assert.equal(heads.get('place/p1').list, 'place');
});

test('an answer of the hub is applied in one transaction', async () => {
  await facts.storeFacts([fact('sent'), fact('refused'), fact('waits')], { isOwn: true });
  const steps = {
    resend: false,
    settle: ['sent'],
    leave: [],
    refuse: [{ id: 'refused', code: 'refused', sentence: 'not yours' }],
    keep: ['new'],
  };
  const before = storage.transactions.length;
  const fresh = await facts.applyAnswer(steps, [fact('new'), fact('not kept')], { cursor: 7, seen: '1' });
  assert.equal(storage.transactions.length, before + 1);
  assert.deepEqual(
    fresh.map((f) => f.id),
    ['new'],
  );
  assert.equal(row('sent').pending, undefined);
  assert.equal(row('waits').pending, 1);
  assert.equal(row('refused').pending, 2);
  assert.deepEqual(row('refused').refused, { code: 'refused', sentence: 'not yours' });
  assert.equal(row('not kept'), undefined);
  assert.equal(storage.rows('meta').get('cursor'), 7);
  assert.equal(await facts.countRefused(), 1);

  await facts.resendRefused();
  assert.equal(row('refused').pending, 1);
  assert.equal(row('refused').refused, undefined);
  assert.equal(row('sent').pending, undefined);
});

test('for another hub, every fact is unsent', async () => {
  await facts.storeFacts([fact('a'), fact('b')]);
  await facts.markAllUnsent({ hub: 'h2' });
  assert.deepEqual([row('a').pending, row('b').pending], [1, 1]);
  assert.equal(storage.rows('meta').get('hub'), 'h2');
});

test('facts that stay here are never unsent', async () => {
  await facts.storeFacts([fact('a')], { staysHere: true });
  assert.equal(await facts.countUnsent(), 0);
  await facts.markAllUnsent({ hub: 'h2' });
  await facts.applyAnswer({ resend: true, settle: ['a'], leave: [], refuse: [], keep: [] }, [], {});
  assert.equal(await facts.countUnsent(), 0);
});

test('facts are found by scope and by id', async () => {
  await facts.storeFacts([fact('a'), fact('b', 'shelf'), fact('c')]);
  const ids = (list) => list.map((f) => f.id);
  assert.deepEqual(ids(await facts.factsOfScope(batch)), ['a', 'c']);
  assert.deepEqual(ids(await facts.factsById(['c', 'x', 'b'])), ['c', 'b']);
  assert.deepEqual(ids(await facts.allFacts()), ['a', 'b', 'c']);
});
