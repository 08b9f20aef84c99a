// Facts in the phone's storage: put in, taken out. Whoever puts facts in marks
// the state of their scope as made from fewer, in the same transaction, so that
// a state is never believed that lacks a fact.
import {transact} from '/db.js';

// keep puts facts in. With mine they are the phone's own, and the hub lacks
// them; otherwise the hub sent them. values are meta written with them. It gives
// the facts that were new.
export function keep(facts, { mine = false, values = {} } = {}) {
  return transact(['facts', 'heads', 'meta'], 'readwrite', async (t) => {
    const fresh = [];
    for (const fact of facts) {
      const had = await t.facts.get(fact.id);
      if (!had) {
        await t.facts.put({ id: fact.id, scope: fact.scope, fact, ...(mine && { pending: 1 }) });
        fresh.push(fact);
      } else if (!mine && had.pending) {
        delete had.pending; // it came back from the hub: the hub has it
        await t.facts.put(had);
      }
    }
    for (const scope of new Set(fresh.map((f) => f.scope))) {
      if (!/^(batch|place)\//.test(scope)) continue;
      const head = (await t.heads.get(scope)) || { scope, list: scope.startsWith('place') ? 'place' : 'batch-open', tokens: [], made: 0, have: 0 };
      head.have++;
      await t.heads.put(head);
    }
    for (const [name, value] of Object.entries(values)) await t.meta.put(value, name);
    return fresh;
  });
}

// ofScope gives all facts of a scope.
export async function ofScope(scope) {
  return (await transact(['facts'], 'readonly', (t) => t.facts.all('scope', scope))).map((row) => row.fact);
}

// all gives every fact there is.
export async function all() {
  return (await transact(['facts'], 'readonly', (t) => t.facts.all())).map((row) => row.fact);
}

// withIds gives the facts of those ids that are here.
export function withIds(ids) {
  return transact(['facts'], 'readonly', async (t) => {
    const rows = [];
    for (const id of ids) rows.push(await t.facts.get(id));
    return rows.filter(Boolean).map((row) => row.fact);
  });
}

// waiting gives up to count facts that the hub lacks.
export async function waiting(count) {
  return (await transact(['facts'], 'readonly', (t) => t.facts.all('pending', 1, count))).map((row) => row.fact);
}

// howMany wait for the hub.
export const howMany = () => transact(['facts'], 'readonly', (t) => t.facts.count('pending'));

// settle marks what the hub has on disk, and what it will not take and why.
export function settle(acks, refused) {
  return transact(['facts'], 'readwrite', async (t) => {
    const ends = [...acks.map((id) => ({ id })), ...refused];
    for (const { id, ...why } of ends) {
      const row = await t.facts.get(id);
      if (!row) continue;
      delete row.pending;
      if (why.code) row.refused = why;
      else delete row.refused;
      await t.facts.put(row);
    }
  });
}

// unsettle marks every fact as one that the hub lacks: it is another hub, or the
// same from an old copy.
export function unsettle(values) {
  return transact(['facts', 'meta'], 'readwrite', async (t) => {
    await t.facts.each((row) => ({ ...row, pending: 1 }));
    for (const [name, value] of Object.entries(values)) await t.meta.put(value, name);
  });
}
