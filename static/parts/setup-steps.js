// What a phone that is new here does next, by what it is.
import { html } from './html.js';
import { isInstalled, deviceKind } from '../device/origin.js';
import { isOfflineReady } from '../device/service-worker.js';
import { Icon } from './icons.js';

/** Steps are numbered. */
const Steps = ({ list }) =>
  html`<ol class="way">${list.filter(Boolean).map((s, i) => html`<li key=${i}><b>${i + 1}</b><span>${s}</span></li>`)}</ol>`;

const ready = () =>
  isOfflineReady.value
    ? html`<span class="tone-done">It is ready to work offline.</span>`
    : 'Wait until it says Ready to work offline.';

/** NextSteps is what comes after trust: the home screen, and the code that lets the phone in. */
export const NextSteps = () =>
  html`<section class="close"><h2>What to do next</h2><${Steps} list=${steps()} /></section>`;

function steps() {
  const pair = html`Tap <b>Pair this phone</b> below. It asks for the code that the program shows.`;
  if (isInstalled) return [ready(), pair];
  if (deviceKind === 'iphone')
    return [
      html`<b>Put the app on the Home Screen.</b> Tap Share <${Icon} name="share" />, then Add to Home Screen, then Add.`,
      html`<b>Open it there once, here in the Wi-Fi at home.</b> Wait until it says Ready to work offline.`,
      html`<b>Pair it in there,</b> not in Safari: the app keeps its own things. From now on open it by its icon.`,
    ];
  return [
    deviceKind === 'android'
      ? html`<b>Put the app on the home screen.</b> Tap Chrome’s menu ⋮, then Add to Home screen, then Install or Create shortcut. Open it by its new icon.`
      : html`<b>Leave this page open a moment.</b> ${ready()}`,
    deviceKind === 'android' && ready(),
    pair,
  ];
}

/** TrustSteps is what helps a phone that shows the page and does not trust it. doors
 * are the addresses of the joining page; own says that the certificate is the owner's. */
export function TrustSteps({ doors, own }) {
  const door = doors[0];
  const get = door
    ? html`Open <a href=${door}>${door}</a>: it says step by step what to do.`
    : 'Open the address that the program prints: it says step by step what to do.';
  const list = own
    ? ['The owner of the hub uses a certificate of their own. Ask whether it still holds.']
    : [...switches[deviceKind], html`<b>Is it not there?</b> ${get}`];
  return html`<section class="close"><h2>What to do</h2><${Steps} list=${[...list, html`<b>Then come back</b> and tap Check again.`]} />
    <p class="sub">In a private window, and in a page inside another app, it never works: open ${deviceKind === 'iphone' ? 'Safari' : deviceKind === 'android' ? 'Chrome' : 'an ordinary window'}.</p></section>`;
}

const switches = {
  iphone: [
    html`<b>Switch trust on.</b> Settings › General › About › at the very bottom, Certificate Trust Settings: switch on the one that begins with coldbatch home. This is the step that is missed most.`,
  ],
  android: [
    html`<b>Is the certificate installed?</b> Settings, search for “User credentials”: one begins with coldbatch home.`,
  ],
  computer: [
    html`<b>Is the certificate installed?</b> In the settings for certificates, among the authorities, one begins with coldbatch home. After installing it, close the browser altogether and open it again.`,
  ],
};
