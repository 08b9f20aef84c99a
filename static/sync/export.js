// Everything on this phone as files: a table of its bags, or a zip with the journal, that table and
// the photos, as `coldbatch export` writes it; and such a zip read again.
import { call } from '../core/core.js';
import { Fault, hasCode } from '../core/fault.js';
import { saveFile } from '../device/save-file.js';
import { Kind, maxPhotoBytes } from '../dist/constants.js';
import { coreEnv } from '../journal/env.js';
import { allFacts } from '../journal/facts.js';
import { journalText, loadFacts, savedFileName } from '../journal/journal-file.js';
import { loadBatches } from '../journal/states.js';
import { ZipWriter, listZip } from '../journal/zip.js';
import { isPhotoHash, loadPhoto, savePhoto } from './photos.js';

const journalName = 'coldbatch.json';
const tableName = 'bags.csv';
const photoName = /^photos\/([0-9a-f]{64})\.jpg$/;
const maxJournalBytes = 2 ** 30; // judgement: a hundred times a large journal

const tableText = async () =>
  (await call('results.table', { states: await loadBatches('all'), env: await coreEnv() })).text;

// saveTable saves a table with a row for each bag. It says whether the person saved it.
export const saveTable = async () => saveFile(new File([await tableText()], tableName, { type: 'text/csv' }));

// saveArchive saves a zip with the journal, the table and the photos, those from the hub included while
// it is reached. It returns {entries, photos, missing}, or null if the person did not save it.
export async function saveArchive() {
  const facts = await allFacts();
  const zip = new ZipWriter();
  const encoder = new TextEncoder();
  zip.add(journalName, encoder.encode(await journalText(facts)));
  zip.add(tableName, encoder.encode(await tableText()));
  const hashes = new Set(
    facts
      .filter((f) => f.kind === Kind.piecePhotographed)
      .map((f) => f.body.sha256)
      .filter(isPhotoHash),
  );
  let photos = 0;
  for (const hash of [...hashes].sort()) {
    const photo = await loadPhoto(hash);
    if (!photo) continue;
    zip.add(`photos/${hash}.jpg`, new Uint8Array(await photo.arrayBuffer()));
    photos++;
  }
  const isSaved = await saveFile(new File([zip.finish()], savedFileName('zip'), { type: 'application/zip' }));
  return isSaved ? { entries: facts.length, photos, missing: hashes.size - photos } : null;
}

// loadArchive adds what is in a saved zip, and returns {read, added, refused} of its entries, and how many photos
// are damaged: those hold up nothing else.
export async function loadArchive(file) {
  const files = await listZip(file);
  const journal = files.find((f) => f.name === journalName);
  if (!journal)
    throw new Fault({
      code: 'damaged',
      sentence: `${file.name} does not contain ${journalName}`,
      hint: 'choose a zip that was saved here or by the hub',
    });
  const counts = await loadFacts(file.name, await journal.read(maxJournalBytes));
  let damaged = 0;
  for (const { name, read } of files) {
    const hash = name.match(photoName)?.[1];
    if (hash)
      await loadZippedPhoto(read, hash).catch((err) => (hasCode(err, 'damaged') ? damaged++ : Promise.reject(err)));
  }
  return { ...counts, damaged };
}

const loadZippedPhoto = async (read, hash) =>
  savePhoto(new Blob([/** @type {any} */ (await read(maxPhotoBytes))], { type: 'image/jpeg' }), hash);
