// Hands the person the journal of this phone as a file.
import { html } from './html.js';
import { told } from '../core/fault.js';
import { save } from '../journal/journal-file.js';
import { say } from '../device/toast.js';

async function saveFile() {
  try {
    const count = await save();
    if (count) say(`${count} entries saved`);
  } catch (err) {
    say(told(err).message);
  }
}

export const SaveFile = ({ look = 'act two small' }) =>
  html`<button type="button" class=${look} onClick=${saveFile}>Save a file</button>`;
