// Records what happened. record writes facts to the phone's storage and returns once they are on
// disk; the hub gets them when it can be reached. views.js and find.js read the journal.
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

// zeroStamp is the latest stamp of a phone that has seen none.
export const zeroStamp = '0000000000000000';

// deviceId returns this phone's id, which is made at the first run.
export async function deviceId() {
  const { device: had } = await meta.get('device');
  if (had) return had;
  const [newId] = await call('id.new', { n: 1 });
  return transact(['meta'], 'readwrite', async (t) => {
    const first = await t.meta.get('device');
    if (!first) await t.meta.put(newId, 'device');
    return first || newId;
  });
}

/**
 * record writes drafts as facts and returns the facts. A draft's at is a time by env's
 * clock, now if left out. drafts may be a function that makes them from the journal: it
 * runs again if facts are added before its own are stored, so that two windows never
 * draw one number for two bags. With sure set to false the core looks for slips first, and a
 * Fault with the code "unsure" asks about one. undo is what the line at the bottom says, with a button that
 * takes it back.
 * @param {FactDraft[] | (() => FactDraft[] | Promise<FactDraft[]>)} drafts
 * @param {{undo?: string | ((facts: any[]) => string), sure?: boolean}} [options]
 * @returns {Promise<Fact[]>}
 */
export async function record(drafts, { undo = '', sure = true } = {}) {
  const facts = await withJournalLock(() => writeFacts(drafts, sure));
  announceChange();
  factsRecorded.value++;
  if (undo)
    showToast(typeof undo === 'function' ? undo(facts) : undo, 'Undo', () => withdrawFacts(facts.map((f) => f.id)));
  if (facts.some((f) => f.kind === Kind.batchStarted)) requestPersistenceOnce();
  return facts;
}

// writeFacts makes facts of drafts and stores them. The lock only saves work: another
// window may write without it, and then everything is made again.
async function writeFacts(drafts, sure) {
  for (;;) {
    const basis = await journalVersion();
    const list = typeof drafts === 'function' ? await drafts() : drafts;
    if (!sure) await checkDrafts(list);
    const { facts, seen } = await makeFacts(list);
    if (await storeFacts(facts, { isOwn: true, values: { seen }, expectedVersion: basis })) return facts;
  }
}

// checkDrafts has the core look for slips in what is about to be recorded of batches.
async function checkDrafts(list) {
  const env = await coreEnv();
  for (const scope of new Set(list.map((d) => d.scope))) {
    if (!scope.startsWith('batch/')) continue;
    const drafts = list.filter((d) => d.scope === scope);
    await call('drafts.check', { state: await loadState(scope), env, drafts });
  }
}

// makeFacts makes facts of drafts and stores none.
async function makeFacts(drafts) {
  const [{ seen }, measurement] = [await meta.get('seen'), await loadMeasurement()];
  const author = { device: await deviceId(), seen: seen || zeroStamp, now: Date.now(), tz: zoneName(), ...measurement };
  return call('facts.write', { author, drafts: drafts.map((d) => (d.at ? { ...d, at: toPhoneTime(d.at) } : d)) });
}

// previewFacts returns {facts, state}: the facts of drafts, and the batch as it would be with them.
// It records nothing.
export async function previewFacts(batch, drafts) {
  const { facts } = await makeFacts(drafts);
  const all = [...(await factsOfScope(`batch/${batch}`)), ...facts];
  return { facts, state: await call('batch.build', { facts: all, now: await latestTime() }) };
}

// withdrawFacts withdraws facts by their ids; restoreFacts restores them.
export const withdrawFacts = (ids) => recordReversal(ids, Kind.factWithdrawn, 'Undone', 'Redo', restoreFacts);
export const restoreFacts = (ids) => recordReversal(ids, Kind.factRestored, 'Restored', 'Undo', withdrawFacts);

// recordReversal withdraws or restores facts. One of them that withdrew or restored another cannot itself
// be withdrawn: the opposite is recorded of its target.
async function recordReversal(ids, kind, text, label, reverse) {
  const targets = await factsById(ids);
  const opposite = kind === Kind.factWithdrawn ? Kind.factRestored : Kind.factWithdrawn;
  const reversal = (f) => {
    const isReversal = f.kind === Kind.factWithdrawn || f.kind === Kind.factRestored;
    const what = isReversal ? { kind: opposite, body: { target: f.body.target } } : { kind, body: { target: f.id } };
    return { scope: f.scope, subject: f.scope.split('/')[1] || '', ...what };
  };
  await record(targets.map(reversal));
  showToast(text, label, () => reverse(ids));
}

/**
 * closeBag closes a bag with the next number of this phone, or with that of a numbered
 * blank that is tied to it; with count, that many bags alike, with the numbers that follow. also are
 * drafts that are recorded, and taken back, with it, or a function that gives them for the bag's id.
 * @param {string} batch
 * @param {Omit<BagClosed, 'number'> & {blank?: string, at?: number}} bag
 * @param {FactDraft[] | ((bag: string) => FactDraft[])} [also]
 * @param {{count?: number, sure?: boolean}} [options]
 */
export function closeBag(batch, bag, also = [], { count = 1, sure = true } = {}) {
  const scope = `batch/${batch}`;
  const drafts = async () => {
    const env = await coreEnv();
    const closings = await call('bags.draft', { state: await loadState(scope), env, number: 0, ...bag, count });
    const ids = await call('id.new', { n: closings.length });
    /** @type {FactDraft[]} */
    const list = closings.flatMap(({ closed, bound }, i) => {
      const at = bag.at && { at: bag.at };
      const own = { scope, subject: ids[i], kind: Kind.bagClosed, body: closed, ...at };
      return bound ? [own, { scope, subject: ids[i], kind: Kind.bagBound, body: bound, ...at }] : [own];
    });
    return [...list, ...(typeof also === 'function' ? also(ids[0]) : also)];
  };
  return record(drafts, { undo: closedWords, sure });
}

// closedWords says which bags were closed.
function closedWords(facts) {
  const numbers = facts.filter((f) => f.kind === Kind.bagClosed).map((f) => `${f.body.number}${f.body.letter || ''}`);
  return numbers.length > 1 ? `Bags ${numbers[0]} to ${numbers.at(-1)} closed` : `Bag ${numbers[0]} closed`;
}

// importFacts adds facts that others wrote. With isOwn they come from a file, and the hub may lack
// them; with staysHere the hub never gets them from here. It returns the new facts.
export async function importFacts(facts, { isOwn = false, staysHere = false, values = {} } = {}) {
  const { seen } = await call('facts.latestStamp', { seen: zeroStamp, facts, now: await latestTime() });
  const newFacts = /** @type {Fact[]} */ (await storeFacts(facts, { isOwn, staysHere, values: { ...values, seen } }));
  if (newFacts.length) announceChange();
  if (newFacts.length && isOwn) factsRecorded.value++;
  return newFacts;
}

// withJournalLock runs work while no other window writes facts, unless that window goes on without the lock.
const withJournalLock = (work) => withLock('coldbatch-journal', work);

// requestPersistenceOnce asks the browser once to keep the storage when room is short.
async function requestPersistenceOnce() {
  const { stays: isPersistent } = await meta.get('stays');
  if (isPersistent === undefined && navigator.storage?.persist)
    await meta.set({ stays: await navigator.storage.persist() });
}
