// Hands the person the journal of this phone as a file.
import { html } from './html.js';
import { asFault } from '../core/fault.js';
import { saveJournal } from '../journal/journal-file.js';
import { showToast } from '../device/toast.js';

async function saveFile() {
  try {
    const count = await saveJournal();
    if (count) showToast(`${count} entries saved`);
  } catch (err) {
    showToast(asFault(err).message);
  }
}

export const SaveJournalButton = ({ look = 'act two small' }) =>
  html`<button type="button" class=${look} onClick=${saveFile}>Save a file</button>`;
