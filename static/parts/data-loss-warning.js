// Warns that entries of this phone may be lost, and says what helps.
import { html } from './html.js';
import { hub } from '../sync/hub-state.js';
import { dataLossRisk, storageState } from '../device/storage.js';
import { SaveJournalButton } from './save-journal-button.js';

const warnings = {
  full: [
    'This phone is full',
    `The last entry was not saved. Save the others as a file, then free some space on the phone:
      videos and photos take the most.`,
  ],
  'almost-full': [
    'This phone is almost full',
    `Soon it cannot save any more. Free some space: videos and photos take the most. Save a file as a backup.`,
  ],
  'safari-page': [
    'Safari may delete your entries',
    `Some entries have not been sent to the hub, and Safari may delete what a page has stored if you do not
      use it for seven days. Come near the hub, or save a file. An app on the Home Screen keeps its entries.`,
  ],
  'long-offline': [
    'Nothing has been sent for more than a day',
    'The browser has not promised to keep your entries. Come near the hub, or save a file.',
  ],
};

/** DataLossWarning is shown on screens where there is time to read it. */
export function DataLossWarning() {
  const risk = dataLossRisk(storageState.value, hub.value);
  if (!risk) return null;
  const [heading, text] = warnings[risk];
  return html`<div class="fault" role="status"><p><b>${heading}</b></p><p>${text}</p>
    <div class="row"><${SaveJournalButton} />
      ${
        risk === 'safari-page' && html`<a class="button secondary small" href="/check">Add it to the Home Screen</a>`
      }</div></div>`;
}

/** StorageFullBanner says on the other screens that something was not saved. */
export const StorageFullBanner = () =>
  storageState.value.isFull &&
  html`<div class="banner" role="alert"><p>This phone is full, and something was not saved.</p>
    <${SaveJournalButton} className="" /></div>`;
