// The journal as a file: saved by the person, and read again here or on another
// phone. The file is JSON: {coldbatch: "facts", version, saved, device, facts}.
import { callWithBytes } from '../core/core.js';
import { maxFacts } from '../dist/constants.js';
import { saveFile } from '../device/save-file.js';
import { allFacts } from './facts.js';
import { deviceId, importFacts } from './journal.js';
import { refreshStates } from './states.js';

// saveJournal saves a file with every fact on this phone and gives their number.
export async function saveJournal() {
  const facts = await allFacts();
  const saved = new Date();
  const text = JSON.stringify({
    coldbatch: 'facts',
    version: 1,
    saved: saved.toISOString(),
    device: await deviceId(),
    facts,
  });
  const file = new File([text], `coldbatch-${saved.toISOString().slice(0, 10)}.json`, { type: 'application/json' });
  return (await saveFile(file)) ? facts.length : 0;
}

// loadJournal adds the facts of a saved file and gives {read, added, refused}. Facts that are here
// already stay as they are, so loading a file twice adds nothing. One that cannot be read does not
// stop the others.
export async function loadJournal(file) {
  const bytes = new Uint8Array(await file.arrayBuffer());
  const { value } = await callWithBytes('facts.read', { name: file.name }, bytes);
  const { facts, unread } = value;
  const counts = { read: facts.length + unread, added: 0, refused: unread };
  for (let i = 0; i < facts.length; i += maxFacts)
    counts.added += (await importFacts(facts.slice(i, i + maxFacts), { isOwn: true })).length;
  await refreshStates();
  return counts;
}
