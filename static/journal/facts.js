// Facts in the phone's storage: put in, taken out. Whoever puts facts in marks
// the state of their scope as made from fewer, in the same transaction, so that
// a state is never believed that lacks a fact.
import { transact } from './db.js';

// What the hub lacks waits to be sent. What it would not take is kept, with why,
// and not sent again until send says so.
const waits = 1;
const refused = 2;

// keep puts facts in. With mine they are the phone's own, and the hub lacks
// them. values are meta written with them. It gives the facts that were new.
export function keep(facts, { mine = false, values = {} } = {}) {
  return transact(['facts', 'heads', 'meta'], 'readwrite', async (t) => {
    const fresh = await add(t, facts, mine);
    await note(t, values);
    return fresh;
  });
}

// take writes down what an answer of the hub means, steps as the core gives them,
// all of it or nothing. facts are the answer's. It gives the facts that were new.
export function take(steps, facts, values) {
  return transact(['facts', 'heads', 'meta'], 'readwrite', async (t) => {
    if (steps.resend) await t.facts.each((row) => wait(row));
    for (const id of [...steps.settle, ...steps.leave]) await change(t, id, ({ pending, refused: had, ...row }) => row);
    for (const { id, ...why } of steps.refuse)
      await change(t, id, (row) => ({ ...row, pending: refused, refused: why }));
    const news = new Set(steps.keep);
    const fresh = await add(
      t,
      facts.filter((f) => news.has(f.id)),
      false,
    );
    await note(t, values);
    return fresh;
  });
}

async function add(t, facts, mine) {
  const fresh = [];
  for (const fact of facts) {
    if (await t.facts.get(fact.id)) continue;
    await t.facts.put({ id: fact.id, scope: fact.scope, fact, ...(mine && { pending: waits }) });
    fresh.push(fact);
  }
  for (const scope of new Set(fresh.map((f) => f.scope))) {
    if (!/^(batch|place)\//.test(scope)) continue;
    const head = (await t.heads.get(scope)) || {
      scope,
      list: scope.startsWith('place') ? 'place' : 'batch-open',
      tokens: [],
      made: 0,
      have: 0,
    };
    head.have++;
    await t.heads.put(head);
  }
  return fresh;
}

// note writes meta. The stamp that was seen never goes back: two may write it.
async function note(t, { seen, ...values }) {
  if (seen && !((await t.meta.get('seen')) > seen)) await t.meta.put(seen, 'seen');
  for (const [name, value] of Object.entries(values)) await t.meta.put(value, name);
}

async function change(t, id, to) {
  const row = await t.facts.get(id);
  if (row) await t.facts.put(to(row));
}

const wait = ({ refused: why, ...row }) => ({ ...row, pending: waits });

// sendAll marks every fact as one that the hub lacks: it is another hub, or the
// same from an old copy.
export function sendAll(values) {
  return transact(['facts', 'meta'], 'readwrite', async (t) => {
    await t.facts.each(wait);
    await note(t, values);
  });
}

// sendRefused lets what the hub would not take wait again.
export function sendRefused(values = {}) {
  return transact(['facts', 'meta'], 'readwrite', async (t) => {
    for (const row of await t.facts.all('pending', refused)) await t.facts.put(wait(row));
    await note(t, values);
  });
}

const read = (work) => transact(['facts'], 'readonly', (t) => work(t.facts));
const factsOf = (rows) => rows.map((row) => row.fact);

// ofScope gives all facts of a scope.
export const ofScope = async (scope) => factsOf(await read((f) => f.all('scope', scope)));

// all gives every fact there is.
export const all = async () => factsOf(await read((f) => f.all()));

// withIds gives the facts of those ids that are here.
export const withIds = (ids) =>
  read(async (f) => {
    const rows = [];
    for (const id of ids) rows.push(await f.get(id));
    return factsOf(rows.filter(Boolean));
  });

// waiting gives up to count facts that the hub lacks.
export const waiting = async (count) => factsOf(await read((f) => f.all('pending', waits, count)));

// lacks says whether the hub lacks a fact.
export const lacks = (id) => read(async (f) => Boolean((await f.get(id))?.pending));

// howMany wait for the hub, and howManyNot it would not take.
export const howMany = () => read((f) => f.count('pending', waits));
export const howManyNot = () => read((f) => f.count('pending', refused));

// notTaken gives what the hub would not take, as {fact, code, sentence}.
export const notTaken = async () =>
  (await read((f) => f.all('pending', refused))).map((row) => ({ fact: row.fact, ...row.refused }));
