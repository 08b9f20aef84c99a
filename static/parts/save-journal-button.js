// Saves the journal of this phone as a file.
import { html } from './html.js';
import { runOrShow, showToast } from '../device/toast.js';
import { saveJournal } from '../journal/journal-file.js';

async function save() {
  const count = await saveJournal();
  if (count) showToast(`${count} entries saved`);
}

/** SaveJournalButton saves every entry; className is the class of the button. */
export const SaveJournalButton = ({ className = 'button secondary small' }) =>
  html`<button type="button" class=${className} onClick=${() => runOrShow(save)}>Save a file</button>`;
