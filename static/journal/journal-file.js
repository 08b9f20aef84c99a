// The journal as a file: saved by the person, and read again here or on another
// phone. The file is JSON: {coldbatch: "facts", version, saved, device, facts}.
import { Fault } from '../core/fault.js';
import { maxFacts } from '../dist/constants.js';
import { saveFile } from '../device/save-file.js';
import { allFacts } from './facts.js';
import { deviceId, importFacts } from './journal.js';
import { refreshStates } from './states.js';

// saveJournal hands the person a file with every fact on this phone and gives how many
// those are.
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

function parseOrNull(text) {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}

// loadJournal takes in what a saved file holds and gives {read, added, refused}. Facts
// that are here already stay as they are; loading a file twice adds nothing. One
// that does not read does not hold up the others.
export async function loadJournal(file) {
  const kept = parseOrNull(await file.text());
  if (kept?.coldbatch !== 'facts' || !Array.isArray(kept.facts)) {
    throw new Fault({
      code: 'damaged',
      sentence: `${file.name} is not a journal that this app saved`,
      hint: 'a file named like coldbatch-2026-05-02.json',
    });
  }
  if (kept.version !== 1)
    throw new Fault({
      code: 'newer',
      sentence: `${file.name} was saved by a newer version of the app`,
      hint: 'update this one first',
    });
  const out = { read: kept.facts.length, added: 0, refused: 0 };
  const take = async (facts) => {
    try {
      out.added += (await importFacts(facts, { mine: true })).length;
    } catch (err) {
      if (err.code !== 'input') throw err;
      if (facts.length === 1) out.refused++;
      else for (const f of facts) await take([f]);
    }
  };
  for (let i = 0; i < kept.facts.length; i += maxFacts) await take(kept.facts.slice(i, i + maxFacts));
  await refreshStates();
  return out;
}
