// A cache of the states of batches and places, which the core builds from their facts. Each has a
// head, a small record that says whether the state is current: built from all facts, by this
// version of the core. A finished batch's head also holds its line in the list of batches, so that
// a long journal is listed without loading its states.
import { call } from '../core/core.js';
import { latestTime } from './clock.js';
import { transact } from './db.js';
import { factsOfScope } from './facts.js';
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
const isCurrent = async (head) =>
  head.made === head.have &&
  head.version === (await cacheVersion()) &&
  (!head.until || head.until > (await latestTime()));

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

// refreshStates rebuilds all states that are out of date, one after another, and returns all heads.
export async function refreshStates() {
  const heads = [];
  for (const head of await transact(['heads'], 'readonly', (t) => t.heads.getAll()))
    heads.push(await refreshState(head));
  return heads;
}

const headsOfList = (list) => transact(['heads'], 'readonly', (t) => t.heads.getAll('list', list));

// statesOfHeads leaves out a state that is gone: a browser may delete all it stores at any time.
async function statesOfHeads(heads) {
  for (const head of heads) await refreshState(head);
  return transact(['states'], 'readonly', async (t) => {
    const out = [];
    for (const { scope } of heads) out.push(await t.states.get(scope));
    return out.filter(Boolean);
  });
}

// refreshState rebuilds a state if it is out of date. Calls for the same scope share one build.
const runningBuilds = new Map();
async function refreshState(head) {
  if (await isCurrent(head)) return head;
  if (!runningBuilds.has(head.scope))
    runningBuilds.set(
      head.scope,
      buildState(head.scope).finally(() => runningBuilds.delete(head.scope)),
    );
  return runningBuilds.get(head.scope);
}

// buildState builds a state, and starts again if facts were added meanwhile.
async function buildState(scope) {
  for (;;) {
    const before = await transact(['heads'], 'readonly', (t) => t.heads.get(scope));
    if (await isCurrent(before)) return before; // another window was quicker
    const { have } = before;
    const facts = await factsOfScope(scope);
    const built = await call('state.build', { scope, facts, style: style.value, now: await latestTime() });
    const headUpdate = {
      made: have,
      version: await cacheVersion(),
      list: built.list,
      tokens: built.tokens,
      uses: built.uses,
      brief: built.line,
      until: built.until,
    };
    const head = await transact(['heads', 'states'], 'readwrite', async (t) => {
      const now = await t.heads.get(scope);
      if (now.have !== have) return null;
      await t.heads.put(Object.assign(now, headUpdate));
      await t.states.put(built.state, scope);
      return now;
    });
    if (head) return head;
  }
}
