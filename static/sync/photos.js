// Photos. A picture is stored on the phone under its hash; a fact refers to it by that hash.
// Pictures are synced after the facts, one at a time, while the hub can be reached.
import { callWithBytes } from '../core/core.js';
import { effect, signal } from '@preact/signals';
import { journalChanged } from '../journal/changes.js';
import { exampleMode } from '../device/example-mode.js';
import { transact } from '../journal/db.js';
import { hub } from './hub-state.js';
import { asFault, Fault } from '../core/fault.js';
import { noteStorageError } from '../device/storage.js';
import { loadBatches } from '../journal/states.js';
import { withLock } from '../device/lock.js';

// An unsent picture is either new, so the hub cannot have it, or unsure: the hub had it and may
// have lost it, so the hub is asked first.
const statusNew = 1;
const statusUnsure = 2;

// photosArrived increases when pictures come from the hub; unsentPhotos is how many the hub lacks.
export const photosArrived = signal(0);
export const unsentPhotos = signal(0);

// photoFault is why a photo was not sent or fetched though the hub was reached, or null.
export const photoFault = signal(/** @type {Fault | null} */ (null));

const photoTimeout = 30e3; // ms a picture may take on a weak network
const syncDelay = 500; // ms after a round of the exchange
const retryDelay = 4e3; // ms until a picture that the hub did not have is asked for again, then twice as long
const maxRetryDelay = 5 * 60e3; // ms, the same

// savePhoto stores a picture, a Blob, and returns its hash: SHA-256 in hex. Where expected is given and it is
// not that, it throws a Fault.
export async function savePhoto(blob, expected = '') {
  const bytes = await blob.arrayBuffer();
  const hash = await hashOf(bytes);
  if (expected && expected !== hash) throw new Fault({ code: 'damaged', sentence: 'a photo in the file is damaged' });
  await transact(['photos'], 'readwrite', async (t) => {
    if (!(await t.photos.get(hash))) await t.photos.put({ hash, bytes, type: blob.type, pending: statusNew });
  });
  await countUnsent();
  return hash;
}

// isPhotoHash says whether what an entry names has the form of a photo's hash: a helper's may be anything.
export const isPhotoHash = (text) => typeof text === 'string' && /^[0-9a-f]{64}$/.test(text);

// loadPhoto returns a picture as a Blob, from this phone or else from the hub, or null if it is only
// on another phone.
export async function loadPhoto(hash) {
  if (!isPhotoHash(hash)) return null;
  const row =
    (await transact(['photos'], 'readonly', (t) => t.photos.get(hash))) || (await fetchPhoto(hash).catch(nullOnFault));
  return row && new Blob([row.bytes], { type: row.type });
}

// loadStoredPhoto returns a picture as a Blob, or throws a Fault if it is only on another phone.
export async function loadStoredPhoto(hash) {
  const blob = await loadPhoto(hash);
  if (!blob) throw new Fault({ code: 'not-found', sentence: 'this photo is on another phone' });
  return blob;
}

// markPhotosUnsent marks every picture as unsure: the hub is a different one, or was restored from
// an old backup.
export async function markPhotosUnsent() {
  refusedHashes.clear();
  await transact(['photos'], 'readwrite', (t) =>
    t.photos.updateEach((row) => (row.pending ? null : { ...row, pending: statusUnsure })),
  );
  await countUnsent();
}

// startPhotoSync syncs pictures for as long as the app is open.
export function startPhotoSync() {
  let lastHub = '';
  effect(() => {
    journalChanged.value;
    countUnsent().catch(noteStorageError); // counted again at the next change
  });
  effect(() => {
    journalChanged.value;
    const { role, id } = hub.value;
    if (`${role} ${id}` !== lastHub) refusedHashes.clear(); // paired again, or another hub
    lastHub = `${role} ${id}`;
    if (canSync(hub.value)) requestPhotoSync(syncDelay);
  });
}

let timer = 0;
function requestPhotoSync(after) {
  clearTimeout(timer);
  timer = setTimeout(
    () =>
      syncPhotos().catch((err) => {
        if (err.code !== 'unavailable') photoFault.value = asFault(err); // unavailable: the status says it
      }),
    after,
  );
}

const canSync = ({ isReached, unsentCount, unknownHubId, role = 'owner' }) =>
  !exampleMode && isReached && !unknownHubId && unsentCount === 0 && (role === 'owner' || role === 'helper');

let isSyncing = false;

async function syncPhotos() {
  if (isSyncing || !canSync(hub.value)) return;
  isSyncing = true;
  try {
    await withLock('coldbatch-photos', async () => {
      await sendPhotos();
      await fetchPhotos();
    });
  } finally {
    isSyncing = false;
    await countUnsent();
    const retryAt = Math.min(...Array.from(missingOnHub.values(), (photo) => photo.retryAt));
    if (retryAt < Infinity) requestPhotoSync(Math.max(syncDelay, retryAt - Date.now()));
  }
}

// refusedHashes has the hashes of pictures that the hub refused. They are sent again after the
// next start, or once the phone has another role.
const refusedHashes = new Set();

async function sendPhotos() {
  for (const hash of await transact(['photos'], 'readonly', (t) => t.photos.getAllKeys('pending'))) {
    if (refusedHashes.has(hash)) continue;
    const row = await transact(['photos'], 'readonly', (t) => t.photos.get(hash));
    if (row.pending === statusNew || (await requestPhoto(hash, 'HEAD')).status !== 200) {
      const answer = await requestPhoto(hash, 'PUT', row);
      if (answer.status >= 500 || answer.status === 429) throw unavailableFault(); // later it may
      if (!answer.ok) {
        refusedHashes.add(hash);
        photoFault.value = refusedPhotoFault(answer.status);
        continue;
      }
    }
    await transact(['photos'], 'readwrite', async (t) => {
      const { pending, ...sent } = await t.photos.get(hash);
      await t.photos.put(sent);
    });
    await countUnsent();
  }
}

// missingOnHub has the pictures that the hub did not have yet, each with the time to ask again; a
// fact arrives before its picture.
const missingOnHub = new Map();

// fetchPhotos fetches the pictures of the open batches that are not here yet.
async function fetchPhotos() {
  const localHashes = new Set(await transact(['photos'], 'readonly', (t) => t.photos.getAllKeys()));
  const previous = new Map(missingOnHub);
  missingOnHub.clear();
  for (const batch of await loadBatches()) {
    for (const { hash } of batch.pieces.flatMap((p) => p.photos || [])) {
      if (localHashes.has(hash) || !isPhotoHash(hash)) continue;
      localHashes.add(hash);
      const { retryAt, delay } = previous.get(hash) || { retryAt: 0, delay: retryDelay };
      if (Date.now() < retryAt) missingOnHub.set(hash, { retryAt, delay });
      else if (await fetchPhoto(hash).catch(nullOnFault)) photosArrived.value++;
      else missingOnHub.set(hash, { retryAt: Date.now() + delay, delay: Math.min(2 * delay, maxRetryDelay) });
    }
  }
}

// fetchPhoto gets a picture from the hub and stores it.
async function fetchPhoto(hash) {
  const answer = await requestPhoto(hash, 'GET');
  if (!answer.ok) return null;
  const bytes = await answer.arrayBuffer().catch(() => {
    throw unavailableFault();
  });
  if ((await hashOf(bytes)) !== hash)
    throw new Fault({ code: 'damaged', sentence: 'the hub sent a different photo than requested' });
  const row = { hash, bytes, type: answer.headers.get('Content-Type') };
  await transact(['photos'], 'readwrite', async (t) => {
    if (!(await t.photos.get(hash))) await t.photos.put(row);
  });
  return row;
}

function nullOnFault(err) {
  if (err.code !== 'unavailable') photoFault.value = asFault(err);
  return null;
}

const refusedPhotoFault = (status) =>
  new Fault({
    code: 'refused',
    sentence: `the hub refused a photo (status ${status})`,
    hint: 'it stays on this phone and is sent again when the app starts',
  });

const unavailableFault = () => new Fault({ code: 'unavailable', sentence: 'the hub cannot be reached' });

async function requestPhoto(hash, method, row) {
  if (exampleMode) throw unavailableFault();
  try {
    return await fetch(`/api/v1/photo/${hash}`, {
      method,
      cache: 'no-store',
      signal: AbortSignal.timeout(photoTimeout),
      ...(row && { body: row.bytes, headers: { 'Content-Type': row.type } }),
    });
  } catch {
    throw unavailableFault();
  }
}

async function countUnsent() {
  unsentPhotos.value = exampleMode ? 0 : await transact(['photos'], 'readonly', (t) => t.photos.count('pending'));
}

async function hashOf(bytes) {
  const { value } = await callWithBytes('photo.hash', {}, new Uint8Array(bytes));
  return value.sha256;
}
