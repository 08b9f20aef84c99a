// The bags seen while the shelf is checked: each once, however often it was
// scanned. The list stays when the app is closed, until it is cleared.
import { signal } from '@preact/signals';
import { showFault, showToast } from '../device/toast.js';
import { exampleMode } from '../device/example-mode.js';
import { lookUpLabel } from './look-up.js';
import { hub } from '../sync/hub-state.js';

const storageKey = exampleMode ? 'coldbatch.shelf.example' : 'coldbatch.shelf';

// scannedBags is the rows, the last one first: {key, code, found}; found is what lookUp
// gave, null until it did. A bag is told by its own key where this phone knows it,
// for it may have had two labels.
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
    showToast('This browser saves no list: it holds until you close the app');
  }
}

// addBag takes a label's code and says whether its bag is new to the list. A bag that
// was there comes first again.
export async function addBag(code) {
  const found = await lookUpLabel(code, { hub: false });
  const key = found.id || found.token;
  const old = scannedBags.value.find((row) => row.key === key);
  writeRows([
    { key, code, found: old?.found?.from === 'hub' ? old.found : found },
    ...scannedBags.value.filter((row) => row.key !== key),
  ]);
  if (found.from === 'label' && hub.value.ok) refreshBag(key).catch(showFault);
  return !old;
}

// refreshBags works out anew how all of them stand.
export async function refreshBags() {
  await Promise.all(scannedBags.value.map((row) => refreshBag(row.key)));
}

async function refreshBag(key) {
  const row = scannedBags.value.find((r) => r.key === key);
  if (!row) return; // cleared meanwhile
  const found = await lookUpLabel(row.code, { hub: hub.value.ok });
  scannedBags.value = scannedBags.value.map((r) => (r.key === key ? { ...r, found } : r));
}

// clearBags empties the list and gives what puts it back.
export function clearBags() {
  const rows = scannedBags.value;
  writeRows([]);
  return () =>
    writeRows([...scannedBags.value, ...rows.filter((row) => !scannedBags.value.some((now) => now.key === row.key))]);
}
