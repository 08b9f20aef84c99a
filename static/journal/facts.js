// Reads and writes facts in the phone's storage. Adding facts marks the cached state of their scope
// as out of date in the same transaction, so a state that lacks a fact is never used.
import { maxAhead } from '../dist/constants.js';
import { meta, transact } from './db.js';
import { projectionOf } from './projections.js';
/** @import { Fact } from '../dist/calls.d.ts' */

// An unsent fact waits to be sent to the hub. A refused one is kept with the reason, and is not
// sent again until the person asks for it.
const statusUnsent = 1;
const statusRefused = 2;

// journalVersion returns a number that grows whenever facts are added, in this window or in another.
export const journalVersion = async () => (await meta.get('journalVersion')).journalVersion || 0;

/**
 * storeFacts stores facts and returns the new ones. isOwn marks them as this phone's own,
 * which the hub lacks; with staysHere they are never sent to it. values are meta values written with
 * them. With expectedVersion, a journalVersion, it stores nothing and returns null if facts were added
 * since.
 * @param {Fact[]} facts
 * @param {{isOwn?: boolean, staysHere?: boolean, values?: {seen?: string, [name: string]: any},
 *   expectedVersion?: number}} [options]
 * @returns {Promise<Fact[] | null>}
 */
export function storeFacts(facts, { isOwn, staysHere, values = {}, expectedVersion } = {}) {
  return transact(['facts', 'heads', 'meta'], 'readwrite', async (t) => {
    if (expectedVersion !== undefined && ((await t.meta.get('journalVersion')) || 0) !== expectedVersion) return null;
    const newFacts = await addFacts(t, facts, {
      ...(isOwn && { pending: statusUnsent }),
      ...(staysHere && { staysHere }),
    });
    await writeMeta(t, values);
    return newFacts;
  });
}

// applyAnswer applies an answer of the hub in one transaction: steps as the core planned them, and
// the answer's facts. It returns the facts that were new.
export function applyAnswer(steps, facts, values) {
  return transact(['facts', 'heads', 'meta'], 'readwrite', async (t) => {
    if (steps.resend) await t.facts.updateEach((row) => markUnsent(row));
    const settle = ({ pending, refused: had, ...row }) => row;
    await Promise.all([...steps.settle, ...steps.leave].map((id) => changeRow(t, id, settle)));
    for (const { id, ...why } of steps.refuse)
      await changeRow(t, id, (row) => ({ ...row, pending: statusRefused, refused: why }));
    const keepIds = new Set(steps.keep);
    const newFacts = await addFacts(
      t,
      facts.filter((f) => keepIds.has(f.id)),
      {},
    );
    await writeMeta(t, values);
    return newFacts;
  });
}

// addFacts stores the facts that are not here yet, each with what else its row says, and returns them.
async function addFacts(t, facts, rest) {
  const distinct = [...new Map(facts.map((fact) => [fact.id, fact])).values()];
  const known = await Promise.all(distinct.map((fact) => t.facts.get(fact.id)));
  const newFacts = distinct.filter((_, i) => !known[i]);
  await Promise.all(newFacts.map((fact) => t.facts.put({ id: fact.id, scope: fact.scope, fact, ...rest })));
  if (newFacts.length) await t.meta.put(((await t.meta.get('journalVersion')) || 0) + 1, 'journalVersion');
  for (const scope of new Set(newFacts.map((f) => f.scope))) {
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
  return newFacts;
}

/**
 * writeMeta writes meta values. Two windows may write the latest stamp seen, so it goes back only
 * if it was ahead of latest, the hub's time, and never behind a fact that is not ahead.
 * @param {any} t
 * @param {{seen?: string, latest?: number, [name: string]: any}} values
 */
async function writeMeta(t, { seen, ...values }) {
  if (seen) {
    const had = (await t.meta.get('seen')) || '';
    let highest = seen;
    if (isAhead(had, values.latest))
      await t.facts.updateEach(({ fact: { stamp } }) => {
        if (stamp > highest && !isAhead(stamp, values.latest)) highest = stamp;
      });
    else if (had > seen) highest = had;
    await t.meta.put(highest, 'seen');
  }
  for (const [name, value] of Object.entries(values)) await t.meta.put(value, name);
}

// isAhead says whether a stamp, whose first 12 digits are ms, is more than maxAhead ahead of the time latest.
const isAhead = (stamp, latest = Number.POSITIVE_INFINITY) =>
  Number.parseInt(stamp.slice(0, 12), 16) > latest + maxAhead;

async function changeRow(t, id, change) {
  const row = await t.facts.get(id);
  if (row) await t.facts.put(change(row));
}

const markUnsent = ({ refused: why, ...row }) => (row.staysHere ? row : { ...row, pending: statusUnsent });

// markAllUnsent marks every fact as unsent: the hub is a different one, or was restored from an old
// backup.
export function markAllUnsent(values) {
  return transact(['facts', 'meta'], 'readwrite', async (t) => {
    await t.facts.updateEach(markUnsent);
    await writeMeta(t, values);
  });
}

// resendRefused marks all refused facts as unsent again.
export function resendRefused(values = {}) {
  return transact(['facts', 'meta'], 'readwrite', async (t) => {
    await Promise.all((await t.facts.getAll('pending', statusRefused)).map((row) => t.facts.put(markUnsent(row))));
    await writeMeta(t, values);
  });
}

const readFacts = (work) => transact(['facts'], 'readonly', (t) => work(t.facts));
const factsOfRows = (rows) => rows.map((row) => row.fact);

// factsOfScope returns all facts of a scope.
export const factsOfScope = async (scope) => factsOfRows(await readFacts((f) => f.getAll('scope', scope)));

// allFacts returns every fact there is.
export const allFacts = async () => factsOfRows(await readFacts((f) => f.getAll()));

// factsById returns the facts with the given ids that this phone has.
export const factsById = (ids) =>
  readFacts(async (f) => factsOfRows((await Promise.all(ids.map((id) => f.get(id)))).filter(Boolean)));

// unsentFacts returns up to count facts that the hub lacks.
export const unsentFacts = async (count) =>
  factsOfRows(await readFacts((f) => f.getAll('pending', statusUnsent, count)));

// hubLacks says whether the hub lacks a fact.
export const hubLacks = (id) => readFacts(async (f) => Boolean((await f.get(id))?.pending));

// countFacts counts all facts, countUnsent the facts that wait for the hub, countRefused the refused facts.
export const countFacts = () => readFacts((f) => f.count());
export const countUnsent = () => readFacts((f) => f.count('pending', statusUnsent));
export const countRefused = () => readFacts((f) => f.count('pending', statusRefused));

// refusedFacts returns the facts that the hub refused, as {fact, code, sentence}.
export const refusedFacts = async () =>
  (await readFacts((f) => f.getAll('pending', statusRefused))).map((row) => ({ fact: row.fact, ...row.refused }));
