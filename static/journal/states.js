// A cache of the states of batches and places, which the core builds from their facts. Each has a
// head, a small record that says whether the state is current: built from all facts, by this
// version of the core. A finished batch's head also holds its line in the list of batches, so that
// a long journal is listed without loading its states.
import { call } from '../core/core.js';
import { latestTime } from './clock.js';
import { transact } from './db.js';
import { Fault } from '../core/fault.js';
import { style } from '../device/settings.js';

/** @type {Promise<number> | null} */
let versionPromise = null;
const cacheVersion = () =>
  (versionPromise ??= call('about').then(
    (a) => a.cacheVersion,
    (err) => {
      versionPromise = null;
      throw err;
    },
  ));
/** currentCheck returns the function that says whether a head's state is current. */
async function currentCheck() {
  const version = await cacheVersion();
  const now = await latestTime();
  return (head) => head.made === head.have && head.version === version && (!head.until || head.until > now);
}

// loadState returns the state of a scope ("batch/ID", "place/ID"), or throws a Fault if this phone
// has no facts of it.
export async function loadState(scope) {
  const head = await transact(['heads'], 'readonly', (t) => t.heads.get(scope));
  const [state] = head ? await statesOfHeads([head]) : [];
  if (!state)
    throw new Fault({
      code: 'not-found',
      sentence: `this ${scope.split('/')[0]} is not on this phone`,
      hint: 'open the app near the hub once, so that this phone can fetch it',
    });
  return state;
}

// loadBatches returns the states of the open batches, or of all. A batch whose state was never built
// counts as open until then.
export async function loadBatches(which = 'open') {
  if (which === 'all')
    return statesOfHeads([...(await headsOfList('batch-open')), ...(await headsOfList('batch-closed'))]);
  return (await statesOfHeads(await headsOfList('batch-open'))).filter((s) => !s.finished);
}

// loadPlaces returns the state of every place, by id.
export async function loadPlaces() {
  const out = {};
  for (const s of await statesOfHeads(await headsOfList('place'))) out[s.id] = s;
  return out;
}

// finishedBriefs returns the list lines of the finished batches.
export async function finishedBriefs() {
  const heads = await refreshStates();
  return heads.filter((h) => h.list === 'batch-closed' && h.brief).map((h) => h.brief);
}

// countFinished counts the batches that are finished.
export const countFinished = async () => (await headsOfList('batch-closed')).length;

// batchesWithToken returns the states of the batches that hold the bag, or the numbered blank,
// of a label's token.
export async function batchesWithToken(token) {
  await refreshStates(); // brings the index of tokens up to date
  return statesOfHeads(await transact(['heads'], 'readonly', (t) => t.heads.getAll('tokens', token)));
}

// loadShelfState returns the state of the shelf alone, or null where nobody has written about it here.
export async function loadShelfState() {
  const head = await shelfHead();
  return head ? (await statesOfHeads([head]))[0] : null;
}

// shelfHead returns the head of the shelf, undefined where this phone has no fact of it.
function shelfHead() {
  return transact(['facts', 'heads'], 'readwrite', async (t) => {
    const had = await t.heads.get('shelf');
    const have = had ? 0 : await t.facts.count('scope', 'shelf'); // an older app stored facts without a head
    if (!have) return had;
    const made = { scope: 'shelf', list: 'shelf', tokens: [], made: 0, have };
    await t.heads.put(made);
    return made;
  });
}

// loadShelf returns the state of the shelf, empty where nobody has written about it here, and what
// each batch used.
export async function loadShelf() {
  const head = await shelfHead();
  await refreshStates();
  const heads = [...(await headsOfList('batch-open')), ...(await headsOfList('batch-closed'))];
  const batches = heads.filter((h) => h.uses?.length).map((h) => ({ batch: h.scope.split('/')[1], uses: h.uses }));
  const shelf = head ? (await statesOfHeads([head]))[0] : await emptyShelf();
  return { shelf, batches };
}

const emptyShelf = async () =>
  (await call('state.build', { scope: 'shelf', facts: [], style: style.value, now: await latestTime() })).state;

// refreshStates rebuilds all states that are out of date, and returns all heads.
export const refreshStates = async () => refreshHeads(await transact(['heads'], 'readonly', (t) => t.heads.getAll()));

const headsOfList = (list) => transact(['heads'], 'readonly', (t) => t.heads.getAll('list', list));

// statesOfHeads leaves out a state that is gone: a browser may delete all it stores at any time.
async function statesOfHeads(heads) {
  await refreshHeads(heads);
  return transact(['states'], 'readonly', async (t) => {
    const states = await Promise.all(heads.map(({ scope }) => t.states.get(scope)));
    return states.filter(Boolean);
  });
}

const groupSize = 20; // states that are built at a time: their facts are in memory together

// refreshHeads rebuilds the states that are out of date, and returns the heads as they are then. Calls for the
// same scope share one build.
const runningBuilds = new Map();
async function refreshHeads(heads) {
  const isCurrent = await currentCheck();
  const builds = new Map();
  const scopes = heads.filter((head) => !isCurrent(head)).map((head) => head.scope);
  for (let i = 0; i < scopes.length; i += groupSize) {
    const group = scopes.slice(i, i + groupSize);
    const unclaimed = group.filter((scope) => !runningBuilds.has(scope));
    const build = buildStates(unclaimed);
    for (const scope of unclaimed) runningBuilds.set(scope, build);
    for (const scope of group) builds.set(scope, runningBuilds.get(scope));
    await build.finally(() => {
      for (const scope of unclaimed) runningBuilds.delete(scope);
    });
  }
  return Promise.all(heads.map(async (head) => (await builds.get(head.scope))?.get(head.scope) ?? head));
}

// buildStates builds states and returns their heads by scope. A state to which facts were added meanwhile is
// built again.
async function buildStates(scopes) {
  const heads = new Map();
  for (let open = scopes; open.length; open = open.filter((scope) => !heads.has(scope))) {
    const isCurrent = await currentCheck();
    const read = await transact(['heads', 'facts'], 'readonly', (t) =>
      Promise.all(
        open.map(async (scope) => ({ head: await t.heads.get(scope), rows: await t.facts.getAll('scope', scope) })),
      ),
    );
    for (const [i, { head }] of read.entries()) // gone, as a browser may do, or another window was quicker
      if (!head || isCurrent(head)) heads.set(open[i], head);
    const outdated = read.filter((_, i) => !heads.has(open[i]));
    const now = await latestTime();
    const built = await Promise.all(
      outdated.map(({ head, rows }) =>
        call('state.build', { scope: head.scope, facts: rows.map((row) => row.fact), style: style.value, now }),
      ),
    );
    for (const head of await storeStates(outdated, built, await cacheVersion())) heads.set(head.scope, head);
  }
  return heads;
}

// storeStates stores the states built from what was read, and returns the heads of those that no fact came to since.
const storeStates = (read, built, version) =>
  transact(['heads', 'states'], 'readwrite', async (t) => {
    const stored = [];
    for (const [i, { head }] of read.entries()) {
      const now = await t.heads.get(head.scope);
      if (now?.have !== head.have) continue;
      const { list, tokens, uses, line: brief, until, state } = built[i];
      Object.assign(now, { made: head.have, version, list, tokens, uses, brief, until });
      await Promise.all([t.heads.put(now), t.states.put(state, head.scope)]);
      stored.push(now);
    }
    return stored;
  });
