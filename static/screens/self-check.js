// The self-check. It is also the page on which a green tick shows that a new phone trusts the hub,
// so it must be clear to someone who knows nothing else of the app.
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
  const { value: answer, fault, reload } = useLiveData(probeHub);
  const network = answer?.network || hub.value.network;
  const role = answer?.role || hub.value.role;
  const checks = runChecks({
    hub: fault ? false : answer || null,
    network,
    role,
    trusted: isTrusted.value,
    offline: isOfflineReady.value,
    clockOffset: clockOffset.value,
    storage: storageState.value,
    formatTime: timeOfDay,
  });
  const checkAgain = () => {
    requestSync();
    reload();
  };
  const stage = stageOf(addressKind(network), isTrusted.value, role);
  const addresses = joinAddresses(network);
  return html`<${Screen} activeTab="" back=${{ href: '/phone', words: 'This phone' }} name="Check"
    ...${headingFor(stage, network)}
    actions=${actionsFor(stage, checkAgain, network)}>
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

// stageOf says what the page shows: "trusted" (the next steps), "untrusted" (what helps), "paired" (all
// is done), "copy", "computer", or "unknown".
function stageOf(kind, trusted, role) {
  if (kind === 'computer') return 'computer';
  if (trusted === false) return 'untrusted';
  if (kind === 'copy') return 'copy';
  if (trusted === null) return 'unknown';
  return role === 'owner' || role === 'helper' ? 'paired' : 'trusted';
}

const stageHeadings = {
  trusted: ['good', 'This phone trusts your hub', 'The hardest part is done.'],
  paired: ['good', 'This phone trusts your hub', 'And it is paired.'],
  untrusted: [
    'unsure',
    'This phone does not trust your hub yet',
    `You can see this page, but that is not enough: without trust this phone cannot store the app or work
      offline.`,
  ],
  copy: ['unsure', 'This is another copy', ''],
  computer: ['good', 'You are on the computer that runs the hub', 'It needs no trust here. Phones do.'],
  unknown: ['unsure', 'Checking', 'This takes a moment. It needs the hub.'],
};

/** headingFor returns the heading of the page with its mark. */
function headingFor(stage, network) {
  const [mark, words, text] = stageHeadings[stage];
  const sub = stage === 'copy' ? `This phone’s journal is at ${homeAddress(network)}.` : text;
  const title = html`<span class=${`verdict ${mark}`}><${Icon} name=${markIcons[mark]} /></span>${words}`;
  return { title, tone: mark === 'good' ? 'done' : undefined, sub };
}

const markIcons = { good: 'tick', unsure: 'dash', wrong: 'cross' };
const markWords = { good: 'good', unsure: 'not sure', wrong: 'wrong' };

const againButton = (onClick, className) =>
  html`<button type="button" class=${className} onClick=${onClick}>Check again</button>`;

/** actionsFor returns the buttons of the page; a browser checks a certificate again only when the page loads. */
function actionsFor(stage, checkAgain, network) {
  const checkAgainButton = againButton(checkAgain, 'button secondary');
  if (stage === 'copy') {
    return html`${checkAgainButton}<a class="button" href=${`${homeAddress(network)}/check`}>Open the right one</a>`;
  }
  if (stage === 'untrusted' || stage === 'unknown') return againButton(() => location.reload(), 'button');
  if (stage !== 'trusted') return html`${checkAgainButton}<a class="button" href="/">Go to Today</a>`;
  if (deviceKind === 'iphone' && !isInstalled) return againButton(checkAgain, 'button');
  return html`${checkAgainButton}<a class="button" href="/join">Pair this phone</a>`;
}

const askToKeep = () =>
  runOrShow(async () => {
    const words = (await requestPersistence())
      ? 'The browser will keep them'
      : 'The browser does not promise to keep them: it does so for apps that you use often';
    showToast(words);
  });

const CheckLine = ({ check: { mark, words, details, action } }) => html`<li class=${`is-${mark}`}>
  <span class="mark"><${Icon} name=${markIcons[mark]} /></span><div>
    <p><span class="visually-hidden">${markWords[mark]}: </span><b>${words}</b></p>
    ${details.filter(Boolean).map((text) => html`<p class="sub" key=${text}>${text}</p>`)}
    <${CheckAction} action=${action} />
  </div></li>`;

/** CheckAction is a button that helps with what was found: "save", "keep", or a link. */
function CheckAction({ action }) {
  if (action === 'save') return html`<${SaveJournalButton} />`;
  if (action === 'keep') {
    return html`<button type="button" class="button secondary small" onClick=${askToKeep}>
      Ask the browser to keep them</button>`;
  }
  return action && html`<a class="button secondary small" href=${action.href}>${action.words}</a>`;
}

/** OtherPhone shows the addresses to open on another phone, and the certificate's fingerprint. */
const OtherPhone = ({ addresses, fingerprint }) => html`<section><h2>Another phone</h2>
  <p>On the same Wi-Fi, open this on the other phone:</p>
  ${addresses.map((address) => html`<p class="address" key=${address}><a href=${address}>${address}</a></p>`)}
  ${
    fingerprint &&
    html`<details><summary>Fingerprint of the certificate</summary><p class="monospace">${fingerprint}</p>
      <p class="sub">SHA-256. The program’s window and the phone that installs the certificate must show
        the same fingerprint.</p>
    </details>`
  }
</section>`;
