// The self-check. It is also the page where a new phone sees, by a tick that turns
// green, that it trusts the hub: it must be understood before anything else is.
import { html } from '../parts/html.js';
import { clockOffset } from '../journal/clock.js';
import { hub } from '../sync/hub-state.js';
import { requestSync } from '../sync/sync-loop.js';
import { isInstalled, joinAddresses, homeAddress, deviceKind, addressKind } from '../device/origin.js';
import { isOfflineReady, isTrusted } from '../device/service-worker.js';
import { requestPersistence, storageState } from '../device/storage.js';
import { runChecks, probeHub } from '../sync/self-check.js';
import { showToast } from '../device/toast.js';
import { useLiveData } from '../parts/data-hooks.js';
import { Screen } from '../parts/screen.js';
import { Icon } from '../parts/icons.js';
import { DataLossWarning } from '../parts/data-loss-warning.js';
import { SaveJournalButton } from '../parts/save-journal-button.js';
import { timeOfDay } from '../parts/time-text.js';
import { TrustSteps, NextSteps } from '../parts/setup-steps.js';

export function SelfCheck() {
  const { value, fault, again } = useLiveData(probeHub);
  const reached = fault ? false : value || null;
  const network = value?.network || hub.value.network,
    role = value?.role || hub.value.role;
  const list = runChecks({
    hub: reached,
    network,
    role,
    trusted: isTrusted.value,
    offline: isOfflineReady.value,
    clockOff: clockOffset.value,
    room: storageState.value,
    print: timeOfDay,
  });
  const look = () => {
    requestSync();
    again();
  };
  const stage = stageOf(addressKind(network), isTrusted.value, role);
  return html`<${Screen} here="" back=${{ href: '/phone', words: 'This phone' }} name="Check" ...${heads[stage](network)} acts=${actsOf(stage, look, network)}>
    ${stage === 'doubt' && html`<${TrustSteps} doors=${joinAddresses(network)} own=${network?.own} />`}
    ${stage === 'trusts' && html`<${NextSteps} />`}
    <${DataLossWarning} />
    <section><h2>What was looked at</h2><ul class="checks">${list.map((c) => html`<${Line} key=${c?.key} check=${c} />`)}</ul></section>
    ${joinAddresses(network).length > 0 && html`<${Door} network=${network} />`}
  </${Screen}>`;
}

// stageOf says what the page is for: "trusts" (what comes next), "doubt" (what
// helps), "in" (all is done), "copy", "computer", or "looking".
function stageOf(at, trusts, role) {
  if (at === 'computer') return 'computer';
  if (trusts === false) return 'doubt';
  if (at === 'copy') return 'copy';
  if (trusts === null) return 'looking';
  return role === 'owner' || role === 'helper' ? 'in' : 'trusts';
}

const Sign = ({ mark }) => html`<span class=${'verdict ' + mark}><${Icon} name=${signs[mark]} /></span>`;
const signs = { good: 'tick', unsure: 'dash', wrong: 'cross' };
const head = (mark, words, sub) => () => ({
  title: html`<${Sign} mark=${mark} />${words}`,
  tone: mark === 'good' ? 'done' : undefined,
  sub,
});

const heads = {
  trusts: head('good', 'This phone trusts your hub', 'The hardest part is done.'),
  in: head('good', 'This phone trusts your hub', 'And it is in.'),
  doubt: head(
    'unsure',
    'This phone does not trust your hub yet',
    'That this page is shown is not enough: without trust the app cannot be kept on this phone, and cannot work without network.',
  ),
  copy: (network) => head('unsure', 'This is another copy', `This phone’s journal lives at ${homeAddress(network)}.`)(),
  computer: head('good', 'This is the computer itself', 'Nothing needs to be trusted here. Phones must.'),
  looking: head('unsure', 'Looking', 'This takes a moment. Without the hub it cannot be told.'),
};

const again = (look, two) =>
  html`<button type="button" class=${two ? 'act two' : 'act'} onClick=${look}>Look again</button>`;
const reload = () => location.reload(); // what a browser has decided of a certificate it keeps until then

function actsOf(stage, look, network) {
  if (stage === 'copy')
    return html`${again(look, true)}<a class="act" href=${homeAddress(network) + '/check'}>Open the right one</a>`;
  if (stage === 'doubt' || stage === 'looking') return again(reload);
  if (stage === 'trusts' && (deviceKind !== 'iphone' || isInstalled))
    return html`${again(look, true)}<a class="act" href="/join">Pair this phone</a>`;
  if (stage === 'trusts') return again(look);
  return html`${again(look, true)}<a class="act" href="/">To today</a>`;
}

const ask = async () =>
  showToast(
    (await requestPersistence())
      ? 'The browser keeps it'
      : 'The browser promises nothing: it does for an app that is often used',
  );

const said = { good: 'good', unsure: 'not sure', wrong: 'wrong' };

const Line = ({
  check: { mark, words, more, act },
}) => html`<li class=${'is-' + mark}><span class="mark"><${Icon} name=${signs[mark]} /></span><div>
  <p><span class="aside">${said[mark]}: </span><b>${words}</b></p>
  ${more.filter(Boolean).map((m) => html`<p class="sub" key=${m}>${m}</p>`)}
  ${act === 'save' ? html`<${SaveJournalButton} />` : act === 'keep' ? html`<button type="button" class="act two small" onClick=${ask}>Ask it to keep it</button>` : act && html`<a class="act two small" href=${act.href}>${act.words}</a>`}
</div></li>`;

/** Door tells how another phone gets here. */
const Door = ({ network }) => html`<section><h2>Another phone</h2><p>In the same Wi-Fi, open there:</p>
  ${joinAddresses(network).map((d) => html`<p class="address" key=${d}><a href=${d}>${d}</a></p>`)}
  ${network.fingerprint && html`<details><summary>Fingerprint of the certificate</summary><p class="print">${network.fingerprint}</p><p class="sub">SHA-256. The program’s window and the phone that takes the certificate must show the same.</p></details>`}
</section>`;
