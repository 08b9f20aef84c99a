// Lines across the top: this is the example, an update is there, the phone is not
// paired, another hub answers, and what keeps this page from being a whole app.
import { html } from './html.js';
import { exampleMode } from '../device/example-mode.js';
import { addressKind, homeAddress } from '../device/origin.js';
import { isAt } from '../device/router.js';
import { applyUpdate, isTrusted } from '../device/service-worker.js';
import { runOrShow } from '../device/toast.js';
import { closeExample } from '../sync/example.js';
import { hub } from '../sync/hub-state.js';
import { dismissOtherHub } from '../sync/sync-loop.js';
import { StorageFullBanner } from './data-loss-warning.js';
import { SaveJournalButton } from './save-journal-button.js';

export const Banner = () => html`
  ${!isAt('/', '/today', '/phone', '/check') && html`<${StorageFullBanner} />`}
  <${AddressBanner} />
  ${
    exampleMode &&
    html`<div class="banner"><p>This is an invented example.</p>
      <button type="button" onClick=${closeExample}>Close example</button></div>`
  }
  ${
    applyUpdate.value &&
    html`<div class="banner" role="status"><p>A new version of the app is here.</p>
      <button type="button" onClick=${() => runOrShow(applyUpdate.value)}>Update now</button></div>`
  }
  ${
    hub.value.other &&
    html`<div class="banner" role="status"><p>A different hub answers now. It gets every entry, too.</p>
      <button type="button" onClick=${() => runOrShow(dismissOtherHub)}>OK</button></div>`
  }`;

/** AddressBanner says what this page lacks: the right address, trust, or pairing; one at a time. */
function AddressBanner() {
  if (addressKind(hub.value.network) === 'copy') return html`<${CopyBanner} />`;
  if (isTrusted.value === false) return isAt('/check') ? null : html`<${NoTrustBanner} />`;
  const reason = pairingReason();
  return reason && html`<div class="banner" role="status"><p>${reason}</p><a href="/join">Pair</a></div>`;
}

/** pairingReason says why this phone should be paired, "" where it need not be. */
function pairingReason() {
  const { ok, role, was: wasPaired } = hub.value;
  if (exampleMode || !ok || role !== 'stranger' || isAt('/join', '/check')) return '';
  if (wasPaired) return 'The hub no longer knows this phone.';
  return 'This phone is not paired. What you write stays here.';
}

/** CopyBanner says that the journal of this phone is at another address. */
function CopyBanner() {
  const home = homeAddress(hub.value.network);
  return html`<div class="banner calm" role="status">
    <p class="long"><b>This is another copy.</b> This phone’s journal lives at <span class="whole">${home}</span></p>
    <span class="row"><a href=${home + location.pathname}>Open it there</a>
      ${hub.value.waiting > 0 && html`<${SaveJournalButton} look="" />`}</span></div>`;
}

/** NoTrustBanner says what a page cannot do that is shown in spite of a warning. */
const NoTrustBanner = () => html`<div class="banner calm" role="status">
  <p>This phone does not trust the hub yet: it cannot work offline</p><a href="/check">What to do</a></div>`;
