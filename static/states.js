// Batches and places as the core makes them of their facts, kept so that only
// what changed is made again. A row of the store states: {scope, list, tokens,
// have, made, version, state}; its state is good where made is have and version
// is the core's.
import {call} from '/core.js';
import {transact} from '/db.js';
import {ofScope} from '/facts.js';
import {Fault} from '/fault.js';

let asked = null;
const version = () => (asked ??= call('about').then((a) => a.stateVersion, (err) => { asked = null; throw err; }));
const good = async (row) => row.made === row.have && row.version === await version();

// state gives the state of a scope ("batch/ID", "place/ID"), or throws a Fault
// where nothing of it is here.
export async function state(scope) {
  const row = await transact(['states'], 'readonly', (t) => t.states.get(scope));
  if (!row) throw new Fault({ code: 'not-found', sentence: `this ${scope.split('/')[0]} is not on this phone`, hint: 'come near the hub once, so that it is fetched' });
  return (await fresh(row)).state;
}

// batches gives the states of the open batches, or of all.
export const batches = async (which = 'open') => [...await list('batch-open'), ...(which === 'all' ? await list('batch-closed') : [])];

// places gives the state of every place, by id.
export async function places() {
  const out = {};
  for (const s of await list('place')) out[s.id] = s;
  return out;
}

// withToken gives the states of the batches that hold the bag of a label's token.
export async function withToken(token) {
  await list('batch-open'); // brings the index of tokens up to date
  const rows = await transact(['states'], 'readonly', (t) => t.states.all('tokens', token));
  return Promise.all(rows.map(async (row) => (await fresh(row)).state));
}

// catchUp makes all states that are not good, one after another.
export async function catchUp() {
  for (const row of await transact(['states'], 'readonly', (t) => t.states.all())) await fresh(row);
}

async function list(which) {
  const rows = await transact(['states'], 'readonly', (t) => t.states.all('list', which));
  const out = [];
  for (const row of rows) out.push((await fresh(row)).state);
  return out;
}

// fresh makes the state anew where it is not good, and again where facts came
// meanwhile. One scope is made once at a time.
const making = new Map();
async function fresh(row) {
  if (await good(row)) return row;
  if (!making.has(row.scope)) making.set(row.scope, make(row.scope).finally(() => making.delete(row.scope)));
  return making.get(row.scope);
}

async function make(scope) {
  const core = await version();
  for (;;) {
    const { have } = await transact(['states'], 'readonly', (t) => t.states.get(scope));
    const made = await call(scope.startsWith('place') ? 'place.fold' : 'batch.fold', { facts: await ofScope(scope) });
    const row = await transact(['states'], 'readwrite', async (t) => {
      const now = await t.states.get(scope);
      if (now.have !== have) return null;
      Object.assign(now, { made: have, version: core, state: made });
      if (scope.startsWith('batch')) {
        now.list = made.finished ? 'batch-closed' : 'batch-open';
        now.tokens = (made.bags || []).flatMap((b) => [b.token, b.bound]).filter(Boolean);
      }
      await t.states.put(now);
      return now;
    });
    if (row) return row;
  }
}
