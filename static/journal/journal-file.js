// The journal as a file: saved by the person, and read again here or on another
// phone. The file is JSON: {coldbatch: "facts", version, saved, device, facts}.
import { callWithBytes } from '../core/core.js';
import { maxFacts } from '../dist/constants.js';
import { saveFile } from '../device/save-file.js';
import { meta } from './db.js';
import { allFacts, factsById } from './facts.js';
import { deviceId, importFacts } from './journal.js';
import { loadBatches, refreshStates } from './states.js';

// journalText returns the text of a file with these facts, one a line.
export async function journalText(facts) {
  const head = { coldbatch: 'facts', version: 1, saved: new Date().toISOString(), device: await deviceId() };
  const lines = facts.map((f) => JSON.stringify(f)).join(',\n');
  return `${JSON.stringify(head).slice(0, -1)},"facts":[\n${lines}\n]}\n`;
}

// savedFileName returns the name of a file that is saved today.
export const savedFileName = (extension) => `coldbatch-${new Date().toISOString().slice(0, 10)}.${extension}`;

// saveJournal saves a file with every fact on this phone and returns their number.
export async function saveJournal() {
  const facts = await allFacts();
  const file = new File([await journalText(facts)], savedFileName('json'), { type: 'application/json' });
  return (await saveFile(file)) ? facts.length : 0;
}

// loadJournal adds the facts of a saved file and returns {read, added, refused, access}. Facts that are
// here already stay as they are, so loading a file twice adds nothing. One that cannot be read does not
// stop the others.
//
// Whoever made up a file could let itself in, or shut the owner's phones out, so a phone that was ever
// paired takes nothing of it that decides who has access, or that only the hub writes of a batch that is
// here: access counts those. Another phone keeps them, as a copy of a journal is whole, but never sends
// them. A second start of a batch that is here, with another secret, is taken by none: its printed labels
// would lead nowhere.
export const loadJournal = async (file) => loadFacts(file.name, new Uint8Array(await file.arrayBuffer()));

// loadFacts does so with the bytes of a file of that name.
export async function loadFacts(name, bytes) {
  const { facts, unread, access, rekeyings } = await readFile(name, bytes);
  const known = new Set((await factsById([...access, ...rekeyings])).map((f) => f.id));
  const decides = new Set(access.filter((id) => !known.has(id)));
  const rekeys = new Set(rekeyings.filter((id) => !known.has(id)));
  const { was: wasPaired } = await meta.get('was');
  const ofAccess = wasPaired ? [] : facts.filter((f) => decides.has(f.id));
  const others = facts.filter((f) => !decides.has(f.id) && !rekeys.has(f.id));
  const counts = {
    read: facts.length + unread,
    added: 0,
    refused: unread,
    access: decides.size + rekeys.size - ofAccess.length,
  };
  const load = async (list, options) => {
    for (let i = 0; i < list.length; i += maxFacts)
      counts.added += (await importFacts(list.slice(i, i + maxFacts), options)).length;
  };
  await load(others, { isOwn: true });
  await load(ofAccess, { staysHere: true });
  await refreshStates();
  return counts;
}

// readFile has the core read a file: once more with what is known here of the facts that the file takes back
// or restores, since a file does not say truly what those are.
async function readFile(name, bytes) {
  const secrets = Object.fromEntries((await loadBatches('all')).map((b) => [b.id, b.secret]));
  const { value } = await callWithBytes('facts.read', { name, known: [], secrets }, bytes);
  const known = await factsById(value.targets);
  return known.length ? (await callWithBytes('facts.read', { name, known, secrets }, bytes)).value : value;
}
