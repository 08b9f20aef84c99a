// The bags scanned while checking the shelf, each listed once. The list survives closing the app,
// until it is cleared.
import { signal } from '@preact/signals';
import { showFault, showToast } from '../device/toast.js';
import { exampleMode } from '../device/example-mode.js';
import { lookUpLabel } from './look-up.js';
import { hub } from '../sync/hub-state.js';

const storageKey = exampleMode ? 'coldbatch.shelf.example' : 'coldbatch.shelf';

// scannedBags are the rows, the latest first: {key, code, found}; found is the result of
// lookUpLabel, or null until it is there. The key is the bag's id if this phone knows the bag,
// because a bag may have had two labels.
export const scannedBags = signal(readRows().map((row) => ({ ...row, found: null })));

function readRows() {
  try {
    return JSON.parse(localStorage.getItem(storageKey) || 'null') || [];
  } catch {
    return [];
  }
}

function writeRows(rows) {
  scannedBags.value = rows;
  try {
    localStorage.setItem(storageKey, JSON.stringify(rows.map(({ key, code }) => ({ key, code }))));
  } catch {
    showToast('This browser cannot save the list: it lasts until you close the app');
  }
}

// addBag adds the bag of a label's code and says whether it is new to the list. A bag that is
// listed already moves to the top.
export async function addBag(code) {
  const found = await lookUpLabel(code, { hub: false });
  const key = found.id || found.token;
  const existing = scannedBags.value.find((row) => row.key === key);
  writeRows([
    { key, code, found: existing?.found?.from === 'hub' ? existing.found : found },
    ...scannedBags.value.filter((row) => row.key !== key),
  ]);
  if (found.from === 'label' && hub.value.isReached) refreshBag(key).catch(showFault);
  return !existing;
}

// refreshBags looks up all of them again.
export async function refreshBags() {
  await Promise.all(scannedBags.value.map((row) => refreshBag(row.key)));
}

async function refreshBag(key) {
  const row = scannedBags.value.find((r) => r.key === key);
  if (!row) return; // cleared meanwhile
  const found = await lookUpLabel(row.code, { hub: hub.value.isReached });
  scannedBags.value = scannedBags.value.map((r) => (r.key === key ? { ...r, found } : r));
}

// clearBags empties the list and returns a function that restores it.
export function clearBags() {
  const rows = scannedBags.value;
  writeRows([]);
  return () =>
    writeRows([
      ...scannedBags.value,
      ...rows.filter((row) => !scannedBags.value.some((current) => current.key === row.key)),
    ]);
}
