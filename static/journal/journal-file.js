// The journal as a file: saved by the person, and read again here or on another
// phone. The file is JSON: {coldbatch: "facts", version, saved, device, facts}.
import { callWithBytes } from '../core/core.js';
import { maxFacts } from '../dist/constants.js';
import { saveFile } from '../device/save-file.js';
import { allFacts } from './facts.js';
import { deviceId, importFacts } from './journal.js';
import { refreshStates } from './states.js';

// journalText gives the text of a file with these facts, one a line.
export async function journalText(facts) {
  const head = { coldbatch: 'facts', version: 1, saved: new Date().toISOString(), device: await deviceId() };
  const lines = facts.map((f) => JSON.stringify(f)).join(',\n');
  return `${JSON.stringify(head).slice(0, -1)},"facts":[\n${lines}\n]}\n`;
}

// savedFileName gives the name of a file that is saved today.
export const savedFileName = (extension) => `coldbatch-${new Date().toISOString().slice(0, 10)}.${extension}`;

// saveJournal saves a file with every fact on this phone and gives their number.
export async function saveJournal() {
  const facts = await allFacts();
  const file = new File([await journalText(facts)], savedFileName('json'), { type: 'application/json' });
  return (await saveFile(file)) ? facts.length : 0;
}

// loadJournal adds the facts of a saved file and gives {read, added, refused}. Facts that are here
// already stay as they are, so loading a file twice adds nothing. One that cannot be read does not
// stop the others.
export const loadJournal = async (file) => loadFacts(file.name, new Uint8Array(await file.arrayBuffer()));

// loadFacts does so with the bytes of a file of that name.
export async function loadFacts(name, bytes) {
  const { value } = await callWithBytes('facts.read', { name }, bytes);
  const { facts, unread } = value;
  const counts = { read: facts.length + unread, added: 0, refused: unread };
  for (let i = 0; i < facts.length; i += maxFacts)
    counts.added += (await importFacts(facts.slice(i, i + maxFacts), { isOwn: true })).length;
  await refreshStates();
  return counts;
}
