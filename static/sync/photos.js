// Photos. The picture is kept on the phone under its hash and is no fact; an entry
// names it. Pictures travel apart from the facts and after them, one at a time,
// while the hub is there.
import { effect, signal } from '@preact/signals';
import { changed } from '../journal/changes.js';
import { inExample } from '../device/example-mode.js';
import { transact } from '../journal/db.js';
import { hub } from './hub-state.js';
import { Fault } from '../core/fault.js';
import { batches } from '../journal/states.js';
import { inTurn } from '../device/lock.js';

// A picture waits for the hub as fresh, which it cannot have, or as one that it had
// and may have lost: then it is asked first.
const fresh = 1;
const perhaps = 2;

// came counts on when pictures came from the hub; unsent is how many it lacks.
export const came = signal(0);
export const unsent = signal(0);

const toEnd = 30e3; // ms a picture may take on a weak network
const soon = 500; // ms after a round of the exchange
const again = 4e3; // ms until a picture that the hub did not have is asked for again, then twice as long
const atMost = 5 * 60e3; // ms, the same

// keepPhoto keeps a picture, a Blob, and gives its hash: SHA-256 in hex.
export async function keepPhoto(blob) {
  const bytes = await blob.arrayBuffer();
  const hash = await hashOf(bytes);
  await transact(['photos'], 'readwrite', async (t) => {
    if (!(await t.photos.get(hash))) await t.photos.put({ hash, bytes, type: blob.type, pending: fresh });
  });
  await count();
  return hash;
}

// photo gives a picture as a Blob: the phone's own, or else the hub's. null says
// that it is on another phone.
export async function photo(hash) {
  const row =
    (await transact(['photos'], 'readonly', (t) => t.photos.get(hash))) || (await fetched(hash).catch(lacking));
  return row && new Blob([row.bytes], { type: row.type });
}

// sendAgain says that the hub may lack pictures that it had: it is another, or
// the same from an old copy.
export async function sendAgain() {
  refused.clear();
  await transact(['photos'], 'readwrite', (t) =>
    t.photos.each((row) => (row.pending ? null : { ...row, pending: perhaps })),
  );
  await count();
}

// carry begins to carry pictures, and goes on for as long as the app is open.
export function carry() {
  let was = '';
  effect(() => {
    changed.value;
    count().catch(console.error);
  });
  effect(() => {
    changed.value;
    const { role, id } = hub.value;
    if (`${role} ${id}` !== was) refused.clear(); // let in anew, or another hub
    was = `${role} ${id}`;
    if (near(hub.value)) kick(soon);
  });
}

let timer = 0;
function kick(after) {
  clearTimeout(timer);
  timer = setTimeout(
    () =>
      travel().catch((err) => {
        if (err.code !== 'unavailable') console.error('photos:', err);
      }),
    after,
  );
}

const near = ({ ok, waiting, role = 'owner' }) =>
  !inExample && ok && waiting === 0 && (role === 'owner' || role === 'helper');

let travelling = false;

async function travel() {
  if (travelling || !near(hub.value)) return;
  travelling = true;
  try {
    await inTurn('coldbatch-photos', async () => {
      await push();
      await pull();
    });
  } finally {
    travelling = false;
    await count();
    const due = Math.min(...Array.from(tried.values(), (t) => t.due));
    if (due < Infinity) kick(Math.max(soon, due - Date.now()));
  }
}

// refused are the pictures that the hub would not take: they wait for the next
// start, or until the phone is let in as another.
const refused = new Set();

async function push() {
  for (const hash of await transact(['photos'], 'readonly', (t) => t.photos.keys('pending'))) {
    if (refused.has(hash)) continue;
    const row = await transact(['photos'], 'readonly', (t) => t.photos.get(hash));
    if (row.pending === fresh || (await ask(hash, 'HEAD')).status !== 200) {
      const answer = await ask(hash, 'PUT', row);
      if (answer.status >= 500 || answer.status === 429) throw away(); // later it may
      if (!answer.ok) {
        refused.add(hash);
        console.warn('the hub refused a photo:', answer.status);
        continue;
      }
    }
    await transact(['photos'], 'readwrite', async (t) => {
      const { pending, ...sent } = await t.photos.get(hash);
      await t.photos.put(sent);
    });
    await count();
  }
}

// tried are the pictures that the hub did not have, each with when to ask again:
// the entry comes before the picture.
const tried = new Map();

// pull fetches the pictures of the open batches that are not here yet.
async function pull() {
  const here = new Set(await transact(['photos'], 'readonly', (t) => t.photos.keys()));
  const before = new Map(tried);
  tried.clear();
  for (const batch of await batches()) {
    for (const { hash } of batch.pieces.flatMap((p) => p.photos || [])) {
      if (here.has(hash)) continue;
      here.add(hash);
      const { due, pause } = before.get(hash) || { due: 0, pause: again };
      if (Date.now() < due) tried.set(hash, { due, pause });
      else if (await fetched(hash).catch(lacking)) came.value++;
      else tried.set(hash, { due: Date.now() + pause, pause: Math.min(2 * pause, atMost) });
    }
  }
}

// fetched gets a picture from the hub and keeps it.
async function fetched(hash) {
  const answer = await ask(hash, 'GET');
  if (!answer.ok) return null;
  const bytes = await answer.arrayBuffer().catch(() => {
    throw away();
  });
  if ((await hashOf(bytes)) !== hash)
    throw new Fault({ code: 'damaged', sentence: 'the hub gave another photo than was asked for' });
  const row = { hash, bytes, type: answer.headers.get('Content-Type') };
  await transact(['photos'], 'readwrite', async (t) => {
    if (!(await t.photos.get(hash))) await t.photos.put(row);
  });
  return row;
}

function lacking(err) {
  if (err.code !== 'unavailable') console.error('photo:', err);
  return null;
}

const away = () => new Fault({ code: 'unavailable', sentence: 'the hub is not reached' });

async function ask(hash, method, row) {
  if (inExample) throw away();
  try {
    return await fetch(`/api/v1/photo/${hash}`, {
      method,
      cache: 'no-store',
      signal: AbortSignal.timeout(toEnd),
      ...(row && { body: row.bytes, headers: { 'Content-Type': row.type } }),
    });
  } catch {
    throw away();
  }
}

async function count() {
  unsent.value = inExample ? 0 : await transact(['photos'], 'readonly', (t) => t.photos.count('pending'));
}

async function hashOf(bytes) {
  const sum = new Uint8Array(await crypto.subtle.digest('SHA-256', bytes));
  return Array.from(sum, (b) => b.toString(16).padStart(2, '0')).join('');
}
