// Lines across the top: this is the example, an update is there, the phone is not
// paired, another hub answers, and what keeps this page from being the app that it
// could be.
import { html } from './html.js';
import { hub } from '../sync/hub-state.js';
import { dismissOtherHub } from '../sync/sync-loop.js';
import { homeAddress, addressKind } from '../device/origin.js';
import { isTrusted, applyUpdate } from '../device/service-worker.js';
import { route } from '../device/router.js';
import { exampleMode } from '../device/example-mode.js';
import { closeExample } from '../sync/example.js';
import { StorageFullBanner } from './data-loss-warning.js';
import { SaveJournalButton } from './save-journal-button.js';

/** asks says why the phone should be paired, where it should. */
const asks = () => {
  const { ok, role, was } = hub.value;
  if (exampleMode || !ok || role !== 'stranger' || ['join', 'check'].includes(route.value.screen)) return '';
  return was ? 'The hub does not know this phone any more.' : 'This phone is not paired. What you write stays here.';
};

export const Banner = () => html`
  ${!['today', 'phone', 'check'].includes(route.value.screen) && html`<${StorageFullBanner} />`}
  ${addressKind(hub.value.network) === 'copy' ? html`<${Copy} />` : isTrusted.value === false ? route.value.screen !== 'check' && html`<${Doubt} />` : asks() && html`<div class="banner" role="status"><p>${asks()}</p><a href="/join">Pair</a></div>`}
  ${exampleMode && html`<div class="banner"><p>All of this is an invented example.</p><button type="button" onClick=${closeExample}>Leave it</button></div>`}
  ${applyUpdate.value && html`<div class="banner" role="status"><p>A new version of the app is here.</p><button type="button" onClick=${() => applyUpdate.value?.()}>Take it now</button></div>`}
  ${hub.value.other && html`<div class="banner" role="status"><p>Another hub answers than before. It gets all entries, too.</p><button type="button" onClick=${dismissOtherHub}>Good</button></div>`}`;

/** Copy says that the journal of this phone is at another address. */
const Copy = () => {
  const home = homeAddress(hub.value.network);
  return html`<div class="banner calm" role="status"><p class="long"><b>This is another copy.</b> This phone’s journal lives at <span class="whole">${home}</span></p>
    <span class="row"><a href=${home + location.pathname}>Open it there</a>${hub.value.waiting > 0 && html`<${SaveJournalButton} look="" />`}</span></div>`;
};

/** Doubt says what a page cannot do that is shown in spite of a warning. */
const Doubt = () =>
  html`<div class="banner calm" role="status"><p>This phone does not trust the hub yet: it cannot work without network</p><a href="/check">What to do</a></div>`;
