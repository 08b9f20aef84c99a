import assert from 'node:assert/strict';
import { beforeEach, test } from 'node:test';
import { doNothing, loadModule, settle } from './app.mjs';
import { fakeStorage } from './fake-storage.mjs';

const storage = fakeStorage();
globalThis.indexedDB = storage.indexedDB;
const { transact, meta } = await loadModule('/journal/db.js');

const fact = { id: 'a', scope: 'shelf', pending: 1, fact: {} };
const putFact = () => transact(['facts'], 'readwrite', (t) => t.facts.put(fact));

beforeEach(() => {
  storage.transactions.length = 0;
});

test('a write resolves only once it is on the disk', async () => {
  let isAnswered = false;
  const write = putFact().then(() => {
    isAnswered = true;
  });
  for (let i = 0; i < 20; i++) await settle();
  assert.equal(storage.rows('facts').size, 1, 'the fact was handed to the storage');
  assert.equal(isAnswered, false, 'answered before the disk was');
  storage.flush();
  await write;
  assert.equal(isAnswered, true);
});

test('a write that the disk rejects is an error', async () => {
  const write = putFact();
  const failed = assert.rejects(write, { code: 'full' });
  for (let i = 0; i < 20; i++) await settle();
  storage.flush(new DOMException('full', 'QuotaExceededError'));
  await failed;
});

test('facts and photos are flushed to the disk; what can be computed again is not', async () => {
  for (const [stores, durability] of [
    [['facts'], 'strict'],
    [['photos'], 'strict'],
    [['facts', 'heads', 'states', 'meta'], 'strict'],
    [['states', 'heads'], 'relaxed'],
    [['meta'], 'relaxed'],
  ]) {
    const done = transact(stores, 'readwrite', doNothing);
    for (let i = 0; i < 20; i++) await settle();
    storage.flush();
    await done;
    assert.equal(storage.transactions.at(-1).durability, durability, stores.join());
  }
});

test('a database connection that was lost in the background is opened again, once', async () => {
  const { transaction } = storage.db;
  let losses = 1;
  storage.db.transaction = (...of) => {
    if (losses-- > 0) throw new DOMException('the connection is closing', 'InvalidStateError');
    return transaction(...of);
  };
  const { error } = console;
  console.error = doNothing;
  try {
    const write = putFact();
    for (let i = 0; i < 20; i++) await settle();
    storage.flush();
    await write;
    losses = 2;
    await assert.rejects(putFact(), { code: 'unavailable' });
  } finally {
    storage.db.transaction = transaction;
    console.error = error;
  }
});

test('an error thrown by work aborts the transaction and is rethrown', async () => {
  const wrong = new Error('wrong');
  for (const [when, work] of [
    ['at once', doNothing],
    ['after half of the writes', (t) => t.meta.put('B', 'letter')],
  ]) {
    const failed = transact(['meta'], 'readwrite', async (t) => {
      await work(t);
      throw wrong;
    });
    await assert.rejects(failed, wrong);
    assert.equal(storage.transactions.at(-1).error?.name, 'AbortError', when);
  }
});

test('the database is opened once and shared', async (t) => {
  const open = t.mock.method(storage.indexedDB, 'open');
  const gets = Promise.all([meta.get('seen'), meta.get('letter'), meta.get('seen')]);
  for (let i = 0; i < 20; i++) await settle();
  storage.flush();
  await gets;
  assert.equal(open.mock.callCount(), 0, 'it is open already');
});

test('single values are stored by name', async () => {
  const set = meta.set({ seen: '1', letter: 'B' });
  for (let i = 0; i < 20; i++) await settle();
  storage.flush();
  await set;
  const get = meta.get('letter', 'seen', 'other');
  for (let i = 0; i < 20; i++) await settle();
  storage.flush();
  assert.deepEqual(await get, { letter: 'B', seen: '1', other: undefined });
});
