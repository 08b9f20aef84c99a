// Facts in the phone's storage: put in, taken out. Whoever puts facts in marks
// the state of their scope as made from fewer, in the same transaction, so that
// a state is never believed that lacks a fact.
import { maxAhead } from '../dist/constants.js';
import { meta, transact } from './db.js';
import { projectionOf } from './projections.js';
/** @import { Fact } from '../dist/calls.d.ts' */

// What the hub lacks waits to be sent. What it would not take is kept, with why,
// and not sent again until send says so.
const statusUnsent = 1;
const statusRefused = 2;

// journalVersion gives a number that grows whenever facts are added, in this window or in another.
export const journalVersion = async () => (await meta.get('journalVersion')).journalVersion || 0;

/**
 * storeFacts stores facts and returns those that were new. With mine they are the phone's
 * own, and the hub lacks them. values are meta written with them. With basis, a
 * journalVersion, it stores nothing and returns null if facts were added since.
 * @param {Fact[]} facts
 * @param {{mine?: boolean, values?: {seen?: string, [name: string]: any}, basis?: number}} [options]
 * @returns {Promise<Fact[] | null>}
 */
export function storeFacts(facts, { mine = false, values = {}, basis } = {}) {
  return transact(['facts', 'heads', 'meta'], 'readwrite', async (t) => {
    if (basis !== undefined && ((await t.meta.get('journalVersion')) || 0) !== basis) return null;
    const fresh = await addFacts(t, facts, mine);
    await writeMeta(t, values);
    return fresh;
  });
}

// applyAnswer writes down what an answer of the hub means, steps as the core gives them,
// allFacts of it or nothing. facts are the answer's. It gives the facts that were new.
export function applyAnswer(steps, facts, values) {
  return transact(['facts', 'heads', 'meta'], 'readwrite', async (t) => {
    if (steps.resend) await t.facts.each((row) => markUnsent(row));
    for (const id of [...steps.settle, ...steps.leave])
      await changeRow(t, id, ({ pending, refused: had, ...row }) => row);
    for (const { id, ...why } of steps.refuse)
      await changeRow(t, id, (row) => ({ ...row, pending: statusRefused, refused: why }));
    const news = new Set(steps.keep);
    const fresh = await addFacts(
      t,
      facts.filter((f) => news.has(f.id)),
      false,
    );
    await writeMeta(t, values);
    return fresh;
  });
}

async function addFacts(t, facts, mine) {
  const fresh = [];
  for (const fact of facts) {
    if (await t.facts.get(fact.id)) continue;
    await t.facts.put({ id: fact.id, scope: fact.scope, fact, ...(mine && { pending: statusUnsent }) });
    fresh.push(fact);
  }
  if (fresh.length) await t.meta.put(((await t.meta.get('journalVersion')) || 0) + 1, 'journalVersion');
  for (const scope of new Set(fresh.map((f) => f.scope))) {
    const projection = projectionOf(scope);
    if (!projection) continue;
    const head = (await t.heads.get(scope)) || {
      scope,
      list: projection.list,
      tokens: [],
      made: 0,
      have: 0,
    };
    head.have++;
    await t.heads.put(head);
  }
  return fresh;
}

/**
 * writeMeta writes meta. The stamp that was seen goes back only where it was ahead of
 * latest, the hub's time: two may write it. It stays behind no fact that is not ahead.
 * @param {any} t
 * @param {{seen?: string, latest?: number, [name: string]: any}} values
 */
async function writeMeta(t, { seen, ...values }) {
  if (seen) {
    const had = (await t.meta.get('seen')) || '';
    let highest = seen;
    if (isAhead(had, values.latest))
      await t.facts.each(({ fact: { stamp } }) => {
        if (stamp > highest && !isAhead(stamp, values.latest)) highest = stamp;
      });
    else if (had > seen) highest = had;
    await t.meta.put(highest, 'seen');
  }
  for (const [name, value] of Object.entries(values)) await t.meta.put(value, name);
}

// isAhead says whether a stamp, whose first 12 digits are ms, is ahead of the time latest.
const isAhead = (stamp, latest = Number.POSITIVE_INFINITY) =>
  Number.parseInt(stamp.slice(0, 12), 16) > latest + maxAhead;

async function changeRow(t, id, to) {
  const row = await t.facts.get(id);
  if (row) await t.facts.put(to(row));
}

const markUnsent = ({ refused: why, ...row }) => ({ ...row, pending: statusUnsent });

// markAllUnsent marks every fact as one that the hub lacks: the hub is a different one, or was
// restored from an old copy.
export function markAllUnsent(values) {
  return transact(['facts', 'meta'], 'readwrite', async (t) => {
    await t.facts.each(markUnsent);
    await writeMeta(t, values);
  });
}

// resendRefused lets what the hub would not take wait again.
export function resendRefused(values = {}) {
  return transact(['facts', 'meta'], 'readwrite', async (t) => {
    for (const row of await t.facts.all('pending', statusRefused)) await t.facts.put(markUnsent(row));
    await writeMeta(t, values);
  });
}

const readFacts = (work) => transact(['facts'], 'readonly', (t) => work(t.facts));
const factsOfRows = (rows) => rows.map((row) => row.fact);

// factsOfScope gives all facts of a scope.
export const factsOfScope = async (scope) => factsOfRows(await readFacts((f) => f.all('scope', scope)));

// allFacts gives every fact there is.
export const allFacts = async () => factsOfRows(await readFacts((f) => f.all()));

// factsById gives the facts with the given ids that this phone has.
export const factsById = (ids) =>
  readFacts(async (f) => {
    const rows = [];
    for (const id of ids) rows.push(await f.get(id));
    return factsOfRows(rows.filter(Boolean));
  });

// unsentFacts gives up to count facts that the hub lacks.
export const unsentFacts = async (count) => factsOfRows(await readFacts((f) => f.all('pending', statusUnsent, count)));

// hubLacks says whether the hub lacks a fact.
export const hubLacks = (id) => readFacts(async (f) => Boolean((await f.get(id))?.pending));

// countUnsent wait for the hub, and howManyNot it would not take.
export const countUnsent = () => readFacts((f) => f.count('pending', statusUnsent));
export const countRefused = () => readFacts((f) => f.count('pending', statusRefused));

// refusedFacts gives what the hub would not take, as {fact, code, sentence}.
export const refusedFacts = async () =>
  (await readFacts((f) => f.all('pending', statusRefused))).map((row) => ({ fact: row.fact, ...row.refused }));
