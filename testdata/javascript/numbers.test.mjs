import assert from 'node:assert/strict';
import { test } from 'node:test';
import { doNothing, loadModule } from './app.mjs';
import './core.mjs';
import { fakeStorage } from './fake-storage.mjs';

const storage = fakeStorage({ flushAtOnce: true });
globalThis.indexedDB = storage.indexedDB;
globalThis.document ??= { visibilityState: 'visible', addEventListener: doNothing };
const { closeBag, record } = await loadModule('/journal/journal.js');
const { meta } = await loadModule('/journal/db.js');
const { call } = await loadModule('/core/core.js');
const { Kind } = await loadModule('/dist/constants.js');

// Every lock request runs into its time limit, as when a window that sleeps holds the
// lock: each writer goes on without it.
const locks = {
  request: async () => {
    throw new DOMException('signal timed out', 'TimeoutError');
  },
};
Object.defineProperty(navigator, 'locks', { value: locks, configurable: true });

// Everything happens within one millisecond, so no stamp differs by its clock alone.
const at = Date.now();
Date.now = () => at;

async function recordBatch() {
  const [id, secret, piece, colour] = await call('id.new', { n: 4 });
  const scope = `batch/${id}`;
  await record([
    { scope, subject: id, kind: Kind.batchStarted, body: { name: 'Tea towels', secret } },
    { scope, subject: piece, kind: Kind.pieceAdded, body: { kind: 'towel', count: 8, grams: 60 } },
    {
      scope,
      subject: colour,
      kind: Kind.colourChosen,
      body: { name: 'rust', caps: 'RU', rgb: '#a04020', class: 'dichlorotriazine', strength: 40, depth: 1 },
    },
  ]);
  return { id, bag: { pieces: [{ piece, count: 1 }], colours: [{ colour }] } };
}

const numbersOf = (kind) =>
  [...storage.rows('facts').values()].map((row) => row.fact).filter((fact) => fact.kind === kind);

test('writers that go on without the lock never take one number for two bags', async () => {
  await meta.set({ letter: 'B' });
  const { id, bag } = await recordBatch();
  await Promise.all(Array.from({ length: 8 }, () => closeBag(id, bag)));
  const numbers = numbersOf(Kind.bagClosed).map(({ body }) => `${body.number}${body.letter || ''}`);
  assert.equal(numbers.length, 8);
  assert.equal(new Set(numbers).size, 8, numbers.join());
});

test('writers that go on without the lock never give one stamp to two facts', () => {
  const stamps = [...storage.rows('facts').values()].map((row) => row.fact.stamp);
  assert.equal(new Set(stamps).size, stamps.length);
});
