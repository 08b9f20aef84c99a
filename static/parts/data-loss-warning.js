// Says that entries of this phone may be lost, before they are, and what helps.
import { html } from './html.js';
import { hub } from '../sync/hub-state.js';
import { dataLossRisk, storageState } from '../device/storage.js';
import { SaveJournalButton } from './save-journal-button.js';

const wordsByRisk = {
  full: [
    'This phone has no room left',
    `The last thing was not kept. Save what is here as a file, then free some space on the phone:
      films and photos take the most.`,
  ],
  tight: [
    'There is little room left',
    `Soon nothing more can be kept here. Free some space on the phone: films and photos take the most.
      A file is a copy to be safe with.`,
  ],
  tab: [
    'A page in Safari forgets',
    `Entries wait here for the hub, and a page that is not used for seven days may lose them.
      Come near the hub, or save a file. On the Home Screen the app keeps them.`,
  ],
  long: [
    'Entries wait for more than a day',
    'The browser has not promised to keep them. Come near the hub, or save a file.',
  ],
};

/** DataLossWarning stands on the screens where there is time to read it. */
export function DataLossWarning() {
  const risk = dataLossRisk(storageState.value, hub.value);
  if (!risk) return null;
  const [head, text] = wordsByRisk[risk];
  return html`<div class="fault risk" role="status"><p><b>${head}</b></p><p>${text}</p>
    <div class="row"><${SaveJournalButton} />
      ${risk === 'tab' && html`<a class="act secondary small" href="/check">Home Screen: how</a>`}</div></div>`;
}

/** StorageFullBanner says on the other screens that something was not kept. */
export const StorageFullBanner = () =>
  storageState.value.full &&
  html`<div class="banner" role="alert"><p>This phone has no room left, and something was not kept.</p>
    <${SaveJournalButton} look="" /></div>`;
