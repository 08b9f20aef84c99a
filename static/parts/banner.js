// The banners at the top: this is the example, an update is ready, the phone is not paired, a
// different hub answers, or the page is at the wrong address or not trusted.
import { html } from './html.js';
import { exampleMode } from '../device/example-mode.js';
import { addressKind, homeAddress } from '../device/origin.js';
import { isAt } from '../device/router.js';
import { applyUpdate, isTrusted } from '../device/service-worker.js';
import { runOrShow } from '../device/toast.js';
import { closeExample } from '../sync/example.js';
import { hub } from '../sync/hub-state.js';
import { acceptUnknownHub, dismissOtherHub } from '../sync/sync-loop.js';
import { StorageFullBanner } from './data-loss-warning.js';
import { PowderBanner } from './powder.js';
import { SaveJournalButton } from './save-journal-button.js';

export const Banner = () => html`
  <${PowderBanner} />
  ${!isAt('/', '/today', '/phone', '/check') && html`<${StorageFullBanner} />`}
  <${AddressBanner} />
  ${
    exampleMode &&
    html`<aside class="banner" aria-label="Example"><p>This is an invented example.</p>
      <button type="button" onClick=${closeExample}>Close example</button></aside>`
  }
  ${
    applyUpdate.value &&
    html`<div class="banner" role="status"><p>A new version of the app is ready.</p>
      <button type="button" onClick=${() => runOrShow(applyUpdate.value)}>Update now</button></div>`
  }
  ${
    hub.value.unknownHubId &&
    html`<div class="banner" role="status">
      <p class="long"><b>This program keeps another journal than this browser.</b> Nothing is sent or fetched.
        To keep the two apart, start one of them with another --port.</p>
      <button type="button" onClick=${() => runOrShow(acceptUnknownHub)}>Join the two</button></div>`
  }
  ${
    hub.value.previousHubId &&
    html`<div class="banner" role="status"><p>A different hub is answering. It gets every entry too.</p>
      <button type="button" onClick=${() => runOrShow(dismissOtherHub)}>OK</button></div>`
  }`;

/** AddressBanner shows one problem at a time: the wrong address, missing trust, or missing pairing. */
function AddressBanner() {
  if (addressKind(hub.value.network) === 'copy') return html`<${CopyBanner} />`;
  if (isTrusted.value === false) return isAt('/check') ? null : html`<${NoTrustBanner} />`;
  const reason = pairingReason();
  return reason && html`<div class="banner" role="status"><p>${reason}</p><a href="/join">Pair</a></div>`;
}

/** pairingReason says why this phone should be paired, or "" if it need not be. */
function pairingReason() {
  const { isReached, role, wasPaired } = hub.value;
  if (exampleMode || !isReached || role !== 'stranger' || isAt('/join', '/check')) return '';
  if (wasPaired) return 'The hub no longer knows this phone.';
  return 'This phone is not paired. What you write stays here.';
}

/** CopyBanner says that this phone's journal is at another address. */
function CopyBanner() {
  const home = homeAddress(hub.value.network);
  return html`<div class="banner neutral" role="status">
    <p class="long"><b>This is another copy.</b> This phone’s journal is at <span class="breakable">${home}</span></p>
    <span class="row"><a href=${home + location.pathname}>Open it there</a>
      ${hub.value.unsentCount > 0 && html`<${SaveJournalButton} className="" />`}</span></div>`;
}

/** NoTrustBanner says what a page cannot do if it was opened in spite of the browser's warning. */
const NoTrustBanner = () => html`<div class="banner neutral" role="status">
  <p>This phone does not trust the hub yet: it cannot work offline</p><a href="/check">What to do</a></div>`;
