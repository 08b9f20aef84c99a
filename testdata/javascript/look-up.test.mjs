// What scanning a label finds: a bag on this phone, the hub’s view of it, or the label’s own data.
import assert from 'node:assert/strict';
import { beforeEach, test } from 'node:test';
import { doNothing, loadModule } from './app.mjs';
import './core.mjs';
import { fakeStorage } from './fake-storage.mjs';

const storage = fakeStorage({ flushAtOnce: true });
globalThis.indexedDB = storage.indexedDB;
globalThis.document ??= { visibilityState: 'visible', addEventListener: doNothing };
const { call } = await loadModule('/core/core.js');
const { closeBag, record } = await loadModule('/journal/journal.js');
const { bagView } = await loadModule('/journal/views.js');
const { coreEnv } = await loadModule('/journal/env.js');
const { meta } = await loadModule('/journal/db.js');
const { loadState, refreshStates } = await loadModule('/journal/states.js');
const { reserveNumbers } = await loadModule('/labels/labels.js');
const { lookUpLabel } = await loadModule('/scan/look-up.js');
const { Kind } = await loadModule('/dist/constants.js');
await meta.set({ letter: 'B' });

const [batch, secret, piece, colour, printing] = await call('id.new', { n: 5 });
const scope = `batch/${batch}`;
await record([
  { scope, subject: batch, kind: Kind.batchStarted, body: { name: 'Tea towels', secret } },
  { scope, subject: piece, kind: Kind.pieceAdded, body: { kind: 'towel', count: 8, grams: 60 } },
  {
    scope,
    subject: colour,
    kind: Kind.colourChosen,
    body: { name: 'rust', caps: 'RU', rgb: '#a04020', class: 'dichlorotriazine', strength: 40, depth: 1 },
  },
]);
const [{ subject: bag }] = await closeBag(batch, { pieces: [{ piece, count: 1 }], colours: [{ colour }] });
const { address } = await bagView(batch, bag);
await reserveNumbers(batch, { subject: printing, count: 1 }, 'a4-70x37');
const [blank] = await call('blanks.view', {
  state: await loadState(scope),
  env: await coreEnv(),
  tags: false,
});

let askedPaths = [];
let hubKnows = null;
globalThis.fetch = async (path) => {
  askedPaths.push(path);
  return new Response(JSON.stringify(hubKnows ?? { error: {} }), { status: hubKnows ? 200 : 404 });
};
beforeEach(() => {
  askedPaths = [];
  hubKnows = null;
});

// forgetBatch leaves the phone without the batch: another one that scans the label.
async function forgetBatch() {
  for (const name of ['facts', 'heads', 'states']) storage.rows(name).clear();
  await refreshStates();
}

test('a bag of this phone is found in its own journal', async () => {
  const found = await lookUpLabel(address);
  assert.deepEqual([found.from, found.batch, found.id, found.bag.id], ['phone', batch, bag, bag]);
  assert.deepEqual(askedPaths, []);
});

test('a numbered blank names the batch that it was printed for', async () => {
  const found = await lookUpLabel(blank.address);
  assert.deepEqual([found.from, found.batch, found.blank, found.id], ['label', batch, true, undefined]);
});

test('the hub is asked about a bag that this phone does not know, unless it is out of reach', async () => {
  await forgetBatch();
  hubKnows = { number: '1B', headline: 'keep wet and warm' };
  const found = await lookUpLabel(address);
  assert.deepEqual([found.from, found.bag], ['hub', hubKnows]);
  assert.equal(askedPaths.length, 1);
  const offline = await lookUpLabel(address, { hub: false });
  assert.equal(offline.from, 'label');
  assert.equal(askedPaths.length, 1);
});

test('if the hub does not know it either, the label’s own data is shown', async () => {
  await forgetBatch();
  const found = await lookUpLabel(address);
  assert.deepEqual([found.from, Boolean(found.blank), askedPaths.length], ['label', false, 1]);
  assert.equal(found.bag.number, '1B');
});
