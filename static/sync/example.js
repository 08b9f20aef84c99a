// The invented example: a separate journal, shown under a banner, never synced, deleted with one
// tap.
import { call } from '../core/core.js';
import { hubNow } from '../journal/clock.js';
import { switchJournal, meta } from '../journal/db.js';
import { exampleMode } from '../device/example-mode.js';
import { asFault } from '../core/fault.js';
import { requestHub } from './hub-client.js';
import { importFacts } from '../journal/journal.js';
import { showToast } from '../device/toast.js';
import { zoneName } from '../core/zone.js';

// openExample opens the example; the person's own journal stays as it is.
export const openExample = () => switchJournal('here');

// closeExample deletes the example, also on the hub if the hub shows it.
export async function closeExample() {
  try {
    if (exampleMode === 'hub') await requestHub('example', null, 'DELETE');
    await switchJournal('');
  } catch (err) {
    showToast(asFault(err).message);
  }
}

// fillExample makes the example's facts when it is first opened.
export async function fillExample() {
  const { device } = await meta.get('device');
  if (!exampleMode || device) return;
  const { facts, device: exampleDevice } = await call('example.facts', { now: await hubNow(), tz: zoneName() });
  await importFacts(facts, { values: { device: exampleDevice } });
}

// followHubExample switches to the example while the hub shows it, and back when the hub shows the
// real journal.
export async function followHubExample(hubShowsExample) {
  if (hubShowsExample && !exampleMode) await switchJournal('hub');
  if (!hubShowsExample && exampleMode === 'hub') await switchJournal('');
}
