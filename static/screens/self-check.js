// The self-check. It is also the page where a new phone sees, by a tick that turns
// green, that it trusts the hub: it must be understood before anything else is.
import { html } from '../parts/html.js';
import { addressKind, deviceKind, homeAddress, isInstalled, joinAddresses } from '../device/origin.js';
import { isOfflineReady, isTrusted } from '../device/service-worker.js';
import { requestPersistence, storageState } from '../device/storage.js';
import { runOrShow, showToast } from '../device/toast.js';
import { clockOffset } from '../journal/clock.js';
import { hub } from '../sync/hub-state.js';
import { probeHub, runChecks } from '../sync/self-check.js';
import { requestSync } from '../sync/sync-loop.js';
import { useLiveData } from '../parts/data-hooks.js';
import { DataLossWarning } from '../parts/data-loss-warning.js';
import { Icon } from '../parts/icons.js';
import { SaveJournalButton } from '../parts/save-journal-button.js';
import { Screen } from '../parts/screen.js';
import { NextSteps, TrustSteps } from '../parts/setup-steps.js';
import { timeOfDay } from '../parts/time-text.js';

export function SelfCheck() {
  const { value: answer, fault, again } = useLiveData(probeHub);
  const network = answer?.network || hub.value.network;
  const role = answer?.role || hub.value.role;
  const checks = runChecks({
    hub: fault ? false : answer || null,
    network,
    role,
    trusted: isTrusted.value,
    offline: isOfflineReady.value,
    clockOff: clockOffset.value,
    room: storageState.value,
    print: timeOfDay,
  });
  const checkAgain = () => {
    requestSync();
    again();
  };
  const stage = stageOf(addressKind(network), isTrusted.value, role);
  const addresses = joinAddresses(network);
  return html`<${Screen} here="" back=${{ href: '/phone', words: 'This phone' }} name="Check"
    ...${headOf(stage, network)}
    acts=${actsOf(stage, checkAgain, network)}>
    ${stage === 'untrusted' && html`<${TrustSteps} addresses=${addresses} own=${network?.own} />`}
    ${stage === 'trusted' && html`<${NextSteps} />`}
    <${DataLossWarning} />
    <section><h2>What was checked</h2>
      <ul class="checks">${checks.map(
        (check) => html`<${CheckLine} key=${check?.key} check=${check} />`,
      )}</ul></section>
    ${addresses.length > 0 && html`<${OtherPhone} addresses=${addresses} fingerprint=${network.fingerprint} />`}
  </${Screen}>`;
}

// stageOf says what the page is for: "trusted" (what comes next), "untrusted" (what
// helps), "in" (all is done), "copy", "computer", or "unknown".
function stageOf(kind, trusted, role) {
  if (kind === 'computer') return 'computer';
  if (trusted === false) return 'untrusted';
  if (kind === 'copy') return 'copy';
  if (trusted === null) return 'unknown';
  return role === 'owner' || role === 'helper' ? 'in' : 'trusted';
}

const stageHeads = {
  trusted: ['good', 'This phone trusts your hub', 'The hardest part is done.'],
  in: ['good', 'This phone trusts your hub', 'And it is paired.'],
  untrusted: [
    'unsure',
    'This phone does not trust your hub yet',
    `The page is shown, but that is not enough: without trust this phone cannot keep the app,
      and cannot work without network.`,
  ],
  copy: ['unsure', 'This is another copy', ''],
  computer: ['good', 'This is the computer itself', 'It needs no trust here. Phones do.'],
  unknown: ['unsure', 'Checking', 'This takes a moment. It needs the hub.'],
};

/** headOf is the heading of the page with its mark. */
function headOf(stage, network) {
  const [mark, words, text] = stageHeads[stage];
  const sub = stage === 'copy' ? `This phone’s journal lives at ${homeAddress(network)}.` : text;
  const title = html`<span class=${`verdict ${mark}`}><${Icon} name=${icons[mark]} /></span>${words}`;
  return { title, tone: mark === 'good' ? 'done' : undefined, sub };
}

const icons = { good: 'tick', unsure: 'dash', wrong: 'cross' };
const markWords = { good: 'good', unsure: 'not sure', wrong: 'wrong' };

const againButton = (onClick, look) =>
  html`<button type="button" class=${look} onClick=${onClick}>Check again</button>`;

/** actsOf are the buttons of the page; a browser decides anew about a certificate only when it loads. */
function actsOf(stage, checkAgain, network) {
  const second = againButton(checkAgain, 'act secondary');
  if (stage === 'copy') {
    return html`${second}<a class="act" href=${`${homeAddress(network)}/check`}>Open the right one</a>`;
  }
  if (stage === 'untrusted' || stage === 'unknown') return againButton(() => location.reload(), 'act');
  if (stage !== 'trusted') return html`${second}<a class="act" href="/">To today</a>`;
  if (deviceKind === 'iphone' && !isInstalled) return againButton(checkAgain, 'act');
  return html`${second}<a class="act" href="/join">Pair this phone</a>`;
}

const askToKeep = () =>
  runOrShow(async () => {
    const words = (await requestPersistence())
      ? 'The browser keeps it'
      : 'The browser does not promise to keep it: it does so for apps that are used often';
    showToast(words);
  });

const CheckLine = ({ check: { mark, words, more, act } }) => html`<li class=${`is-${mark}`}>
  <span class="mark"><${Icon} name=${icons[mark]} /></span><div>
    <p><span class="aside">${markWords[mark]}: </span><b>${words}</b></p>
    ${more.filter(Boolean).map((text) => html`<p class="sub" key=${text}>${text}</p>`)}
    <${CheckAction} act=${act} />
  </div></li>`;

/** CheckAction is what helps against what was found: "save", "keep", or a link. */
function CheckAction({ act }) {
  if (act === 'save') return html`<${SaveJournalButton} />`;
  if (act === 'keep') {
    return html`<button type="button" class="act secondary small" onClick=${askToKeep}>
      Ask the browser to keep it</button>`;
  }
  return act && html`<a class="act secondary small" href=${act.href}>${act.words}</a>`;
}

/** OtherPhone shows the addresses to open on another phone, and the certificate's fingerprint. */
const OtherPhone = ({ addresses, fingerprint }) => html`<section><h2>Another phone</h2>
  <p>In the same Wi-Fi, open there:</p>
  ${addresses.map((address) => html`<p class="address" key=${address}><a href=${address}>${address}</a></p>`)}
  ${
    fingerprint &&
    html`<details><summary>Fingerprint of the certificate</summary><p class="monospace">${fingerprint}</p>
      <p class="sub">SHA-256. The program’s window and the phone that takes the certificate must show the same.</p>
    </details>`
  }
</section>`;
