// Batches and places as the core makes them of their facts, kept so that only
// what changed is made again. Each has a head, which is small and says whether
// the state is good: made from as many facts as there are, by this core. A
// finished batch's head also holds its line of the list, so that a long journal
// is listed without its states.
import { call } from '../core/core.js';
import { transact } from './db.js';
import { ofScope } from './facts.js';
import { Fault } from '../core/fault.js';
import { style } from '../device/settings.js';

let asked = null;
const version = () =>
  (asked ??= call('about').then(
    (a) => a.cacheVersion,
    (err) => {
      asked = null;
      throw err;
    },
  ));
const good = async (head) => head.made === head.have && head.version === (await version());

// state gives the state of a scope ("batch/ID", "place/ID"), or throws a Fault
// where nothing of it is here.
export async function state(scope) {
  const head = await transact(['heads'], 'readonly', (t) => t.heads.get(scope));
  if (!head)
    throw new Fault({
      code: 'not-found',
      sentence: `this ${scope.split('/')[0]} is not on this phone`,
      hint: 'come near the hub once, so that it is fetched',
    });
  return (await statesOf([head]))[0];
}

// batches gives the states of the open batches, or of all. What was never made is
// listed as open until it is.
export async function batches(which = 'open') {
  if (which === 'all') return statesOf([...(await heads('batch-open')), ...(await heads('batch-closed'))]);
  return (await statesOf(await heads('batch-open'))).filter((s) => !s.finished);
}

// places gives the state of every place, by id.
export async function places() {
  const out = {};
  for (const s of await statesOf(await heads('place'))) out[s.id] = s;
  return out;
}

// finished gives the lines of the list of the batches that are finished.
export async function finished() {
  await catchUp();
  const out = [];
  for (const head of await heads('batch-closed')) out.push((await fresh(head)).brief);
  return out.filter(Boolean);
}

// withToken gives the states of the batches that hold the bag, or the numbered blank,
// of a label's token.
export async function withToken(token) {
  await catchUp(); // brings the index of tokens up to date
  return statesOf(await transact(['heads'], 'readonly', (t) => t.heads.all('tokens', token)));
}

// catchUp makes all states that are not good, one after another.
export async function catchUp() {
  for (const head of await transact(['heads'], 'readonly', (t) => t.heads.all())) await fresh(head);
}

const heads = (list) => transact(['heads'], 'readonly', (t) => t.heads.all('list', list));

async function statesOf(some) {
  for (const head of some) await fresh(head);
  return transact(['states'], 'readonly', async (t) => {
    const out = [];
    for (const { scope } of some) out.push(await t.states.get(scope));
    return out;
  });
}

// fresh makes the state anew where it is not good. One scope is made once at a
// time.
const making = new Map();
async function fresh(head) {
  if (await good(head)) return head;
  if (!making.has(head.scope))
    making.set(
      head.scope,
      make(head.scope).finally(() => making.delete(head.scope)),
    );
  return making.get(head.scope);
}

// make works out a state, and again where facts came meanwhile.
async function make(scope) {
  for (;;) {
    const before = await transact(['heads'], 'readonly', (t) => t.heads.get(scope));
    if (await good(before)) return before; // another window was quicker
    const { have } = before;
    const facts = await ofScope(scope);
    const made = await call(scope.startsWith('place') ? 'place.fold' : 'batch.fold', { facts });
    const says = { made: have, version: await version() };
    if (scope.startsWith('batch')) {
      says.list = made.finished ? 'batch-closed' : 'batch-open';
      says.tokens = [...made.bags.flatMap((b) => [b.token, ...(b.bound || [])]), ...made.blanks.map((x) => x.token)];
      if (made.finished) [says.brief] = await call('batch.brief', { states: [made], env: { style: style.value } });
    }
    const head = await transact(['heads', 'states'], 'readwrite', async (t) => {
      const now = await t.heads.get(scope);
      if (now.have !== have) return null;
      await t.heads.put(Object.assign(now, says));
      await t.states.put(made, scope);
      return now;
    });
    if (head) return head;
  }
}
