// What to do next on a phone that is new to the hub, by what kind of device it is.
import { html } from './html.js';
import { isInstalled, deviceKind } from '../device/origin.js';
import { isOfflineReady } from '../device/service-worker.js';
import { Icon } from './icons.js';

/** Steps lists steps by number; empty ones are left out. */
const Steps = ({ list }) =>
  html`<ol class="numbered-steps">${list
    .filter(Boolean)
    .map((step, i) => html`<li key=${i}><b>${i + 1}</b><span>${step}</span></li>`)}</ol>`;

const offlineStep = () =>
  isOfflineReady.value
    ? html`<span class="tone-done">The app is ready to work offline.</span>`
    : 'Wait until you see “Ready to work offline”.';

/** NextSteps says what to do once the phone trusts the hub: install the app, then pair. */
export const NextSteps = () =>
  html`<section class="compact"><h2>What to do next</h2><${Steps} list=${nextSteps()} /></section>`;

const pairStep = html`Tap <b>Pair this phone</b> below and type the code that the program shows.`;

const iphoneSteps = [
  html`<b>Add the app to the Home Screen.</b> Tap Share <${Icon} name="share" />, then Add to Home Screen, then Add.`,
  html`<b>Open it there once, on the Wi-Fi at home.</b> Wait until you see “Ready to work offline”.`,
  html`<b>Pair it in the app,</b> not in Safari: the app has its own storage. From now on open it by its icon.`,
];

const androidStep = html`<b>Add the app to the home screen.</b> Tap Chrome’s menu ⋮, then Add to Home screen,
  then Install or Create shortcut. Open it by its new icon.`;

function nextSteps() {
  if (isInstalled) return [offlineStep(), pairStep];
  if (deviceKind === 'iphone') return iphoneSteps;
  if (deviceKind === 'android') return [androidStep, offlineStep(), pairStep];
  return [html`<b>Leave this page open for a moment.</b> ${offlineStep()}`, pairStep];
}

/**
 * TrustSteps says what to do on a phone that opens the page but does not trust the hub.
 * addresses are the addresses of the joining page; own says that the certificate is the owner's.
 */
export function TrustSteps({ addresses, own }) {
  const [address] = addresses;
  const joinPage = address ? html`<a href=${address}>${address}</a>` : 'the address that the program prints';
  const steps = own
    ? ['The owner of the hub uses their own certificate. Ask them whether it is still valid.']
    : [trustSteps[deviceKind], html`<b>Can’t find it?</b> Open ${joinPage} and follow the steps there.`];
  return html`<section class="compact"><h2>What to do</h2>
    <${Steps} list=${[...steps, html`<b>Then come back</b> and tap Check again.`]} />
    <p class="sub">A private window, or a page inside another app, never works:
      open ${browsers[deviceKind]}.</p></section>`;
}

const browsers = { iphone: 'Safari', android: 'Chrome', computer: 'an ordinary window' };

/** trustSteps says where each kind of device has the hub's certificate. */
const trustSteps = {
  iphone: html`<b>Switch trust on.</b> Open Settings › General › About. At the very bottom tap
    Certificate Trust Settings and switch on the one that begins with coldbatch home.
    People miss this step most often.`,
  android: html`<b>Is the certificate installed?</b> Search Settings for “User credentials”:
    one begins with coldbatch home.`,
  computer: html`<b>Is the certificate installed?</b> In the certificate settings, under authorities,
    one begins with coldbatch home. After you install it, close the browser completely and open it again.`,
};
