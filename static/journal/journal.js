// Records what happened. record writes facts to the phone's storage first and
// returns when they are on disk; the hub gets them when it is there. What the
// journal means is asked of views.js and find.js.
import { Kind } from '../dist/constants.js';
import { call } from '../core/core.js';
import { announceChange, factsRecorded } from './changes.js';
import { latestTime, loadMeasurement, toPhoneTime } from './clock.js';
import { meta, transact } from './db.js';
import { storeFacts, factsOfScope, factsById, journalVersion } from './facts.js';
import { loadState } from './states.js';
import { showToast } from '../device/toast.js';
import { withLock } from '../device/lock.js';
import { coreEnv } from './env.js';
import { zoneName } from '../core/zone.js';

/** @import { BagClosed, Fact, FactDraft } from '../dist/calls.d.ts' */

// zeroStamp is the stamp of one who has seen none.
export const zeroStamp = '0000000000000000';

// deviceId gives this phone's id, drawn at the first run.
export async function deviceId() {
  const { device: had } = await meta.get('device');
  if (had) return had;
  const [drawn] = await call('id.new', { n: 1 });
  return transact(['meta'], 'readwrite', async (t) => {
    const first = await t.meta.get('device');
    if (!first) await t.meta.put(drawn, 'device');
    return first || drawn;
  });
}

/**
 * record writes drafts as facts and gives the facts. A draft's at is a time by env's
 * clock, now if left out. drafts may be a function that makes them from the journal: it
 * runs again if facts are added before its own are stored, so that two windows never
 * draw one number for two bags. undo is what the line at the bottom says, with a button that
 * takes it back.
 * @param {FactDraft[] | (() => FactDraft[] | Promise<FactDraft[]>)} drafts
 * @param {{undo?: string | ((facts: any[]) => string)}} [options]
 * @returns {Promise<Fact[]>}
 */
export async function record(drafts, { undo = '' } = {}) {
  const facts = await withJournalLock(() => writeFacts(drafts));
  announceChange();
  factsRecorded.value++;
  if (undo)
    showToast(typeof undo === 'function' ? undo(facts) : undo, 'Undo', () => withdrawFacts(facts.map((f) => f.id)));
  if (facts.some((f) => f.kind === Kind.batchStarted)) requestPersistenceOnce();
  return facts;
}

// writeFacts makes facts of drafts and stores them. The lock only saves work: another
// window may write without it, and then everything is made again.
async function writeFacts(drafts) {
  for (;;) {
    const basis = await journalVersion();
    const { facts, seen } = await makeFacts(typeof drafts === 'function' ? await drafts() : drafts);
    if (await storeFacts(facts, { mine: true, values: { seen }, basis })) return facts;
  }
}

// makeFacts makes facts of drafts and stores none.
async function makeFacts(drafts) {
  const [{ seen }, known] = [await meta.get('seen'), await loadMeasurement()];
  const author = { device: await deviceId(), seen: seen || zeroStamp, now: Date.now(), tz: zoneName(), ...known };
  return call('facts.write', { author, drafts: drafts.map((d) => (d.at ? { ...d, at: toPhoneTime(d.at) } : d)) });
}

// previewFacts gives {facts, state}: what drafts would be, and the batch once they were
// recorded. Nothing is.
export async function previewFacts(batch, drafts) {
  const { facts } = await makeFacts(drafts);
  const all = [...(await factsOfScope(`batch/${batch}`)), ...facts];
  return { facts, state: await call('batch.build', { facts: all, now: await latestTime() }) };
}

// withdrawFacts withdraws facts by their ids; restoreFacts lets them hold again.
export const withdrawFacts = (ids) => recordReversal(ids, Kind.factWithdrawn, 'Undone', 'Redo', restoreFacts);
export const restoreFacts = (ids) => recordReversal(ids, Kind.factRestored, 'Restored', 'Undo', withdrawFacts);

async function recordReversal(ids, kind, text, label, reverse) {
  const targets = await factsById(ids);
  await record(
    targets.map((f) => ({ scope: f.scope, subject: f.scope.split('/')[1] || '', kind, body: { target: f.id } })),
  );
  showToast(text, label, () => reverse(ids));
}

/**
 * closeBag closes a bag with the next number of this phone, or with that of a numbered
 * blank that is tied to it. also are drafts that are recorded, and taken back, with it,
 * or a function that gives them for the bag's id.
 * @param {string} batch
 * @param {Omit<BagClosed, 'number'> & {blank?: string, at?: number}} bag
 * @param {FactDraft[] | ((bag: string) => FactDraft[])} [also]
 */
export function closeBag(batch, bag, also = []) {
  const scope = `batch/${batch}`;
  const drafts = async () => {
    const { closed, bound } = await call('bag.draft', {
      state: await loadState(scope),
      env: await coreEnv(),
      number: 0,
      ...bag,
    });
    const [subject] = await call('id.new', { n: 1 });
    /** @type {FactDraft[]} */
    const tied = bound ? [{ scope, subject, kind: Kind.bagBound, body: bound }] : [];
    const more = typeof also === 'function' ? also(subject) : also;
    return [{ scope, subject, kind: Kind.bagClosed, body: closed, ...(bag.at && { at: bag.at }) }, ...tied, ...more];
  };
  return record(drafts, { undo: ([f]) => `Bag ${f.body.number}${f.body.letter || ''} closed` });
}

// importFacts takes in facts that others wrote. With mine they come from a file, and
// the hub may lack them. It gives those that were new.
export async function importFacts(facts, { mine = false, values = {} } = {}) {
  const { seen } = await call('facts.latestStamp', { seen: zeroStamp, facts, now: await latestTime() });
  const fresh = /** @type {Fact[]} */ (await storeFacts(facts, { mine, values: { ...values, seen } }));
  if (fresh.length) announceChange();
  if (fresh.length && mine) factsRecorded.value++;
  return fresh;
}

// withJournalLock runs work while no other window that keeps the lock writes facts.
const withJournalLock = (work) => withLock('coldbatch-journal', work);

// requestPersistenceOnce asks the browser once to keep the storage when room is short.
async function requestPersistenceOnce() {
  const { stays } = await meta.get('stays');
  if (stays === undefined && navigator.storage?.persist) await meta.set({ stays: await navigator.storage.persist() });
}
