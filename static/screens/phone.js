// This phone: how it prints, how it stands with the hub, and its journal as a file.
import { html, capitalize } from '../parts/html.js';
import { useRef, useState } from 'preact/hooks';
import { announceChange } from '../journal/changes.js';
import { hub } from '../sync/hub-state.js';
import { requestSync } from '../sync/sync-loop.js';
import { resendRefused } from '../journal/facts.js';
import { isOfflineReady, isScannerReady } from '../device/service-worker.js';
import { style, setStyle } from '../device/settings.js';
import { exampleMode } from '../device/example-mode.js';
import { openExample, closeExample } from '../sync/example.js';
import { loadJournal } from '../journal/journal-file.js';
import { refusedLines } from '../journal/views.js';
import { useAction, useLiveData } from '../parts/data-hooks.js';
import { Screen } from '../parts/screen.js';
import { Choice } from '../parts/choice.js';
import { hubStatusText } from '../parts/hub-status.js';
import { Icon } from '../parts/icons.js';
import { DataLossWarning } from '../parts/data-loss-warning.js';
import { SaveJournalButton } from '../parts/save-journal-button.js';
import { ErrorBox } from '../parts/messages.js';

export function Phone() {
  const now = hub.value,
    s = style.value;
  return html`<${Screen} here="" back=${{ href: '/', words: 'Today' }} title="This phone">
    <${DataLossWarning} />
    <section class="close"><h2>Hub</h2>
      <dl class="facts"><dt>Now</dt><dd class="first">${now.ok ? 'reached' : 'not reached'}</dd>
        ${now.name && html`<dt>Name</dt><dd>${now.name}</dd>`}
        <dt>Entries</dt><dd class="first">${hubStatusText(now)}</dd>
        <dt>Offline</dt><dd>${!isOfflineReady.value ? 'Not yet: come near the hub once' : isScannerReady.value ? 'Ready, scanning too' : 'Ready; the scanner is still to come from the hub'}</dd>
        ${now.clockOff !== 0 && html`<dt>Clock</dt><dd>This phone’s clock is wrong; times are put right</dd>`}</dl>
      <${Access} now=${now} />
      <button type="button" class="act two small wide" onClick=${() => requestSync()}>Try the hub now</button>
      <a class="link-row" href="/check"><span><b>Check this phone</b><span class="sub">trust, name, hub, clock, storage</span></span><${Icon} name="on" /></a>
    </section>
    ${now.refused > 0 && html`<${Refused} />`}
    <section><h2>How it prints</h2>
      <${Choice} label="Units" value=${s.system} onChange=${(system) => setStyle({ system })} options=${[{ value: 'metric', words: 'grams, litres, °C' }, { value: 'us', words: 'ounces, gallons, °F' }]} />
      <${Choice} label="Clock" value=${s.clock12 ? '12' : '24'} onChange=${(v) => setStyle({ clock12: v === '12' })} options=${[{ value: '24', words: '20:25' }, { value: '12', words: '8:25 pm' }]} />
      <${Choice} label="Decimal sign" value=${s.comma ? ',' : '.'} onChange=${(v) => setStyle({ comma: v === ',' })} options=${[{ value: '.', words: '2.5' }, { value: ',', words: '2,5' }]} />
    </section>
    <section><h2>The journal as a file</h2><p class="sub">Every entry on this phone, to keep elsewhere or to read on another phone. Photos are not in it; they go to the hub.</p><${Keep} /></section>
    <section><h2>Example</h2>${exampleMode ? html`<button type="button" class="act two small wide" onClick=${closeExample}>Leave the example</button>` : html`<button type="button" class="act two small wide" onClick=${openExample}>Look at the example</button>`}</section>
    <p class="sub version">coldbatch</p>
  </${Screen}>`;
}

/** Access says what the hub lets this phone do, and leads to where that is changed. */
function Access({ now }) {
  if (exampleMode) return null;
  if (now.role === 'owner')
    return html`<a class="link-row" href="/phones"><span><b>Phones</b><span class="sub">which are let in; add one</span></span><${Icon} name="on" /></a>`;
  if (now.role === 'helper')
    return html`<a class="link-row" href="/join"><span><b>Helper’s phone</b><span class="sub">in the batches it was let into; type another code</span></span><${Icon} name="on" /></a>`;
  if (!now.role) return null;
  return html`<p class="caution">${
    now.role === 'out'
      ? capitalize(now.held || 'this phone is let in no more') + '. What you write stays here.'
      : now.was
        ? 'The hub does not know this phone any more: it was set up anew, or from an old copy. Nothing is lost: pair this phone again, and all that is here is sent.'
        : 'This phone is not paired with the hub. What you write stays here until it is.'
  }</p>
    <a class="act wide" href="/join">${now.was ? 'Pair this phone again' : 'Pair this phone'}</a>`;
}

/** Refused lists what the hub would not take. */
function Refused() {
  const { value: lines, fault } = useLiveData(refusedLines);
  return html`<section><h2>Not taken by the hub</h2><p class="sub">These entries stay on this phone. They are sent again when it is paired anew.</p><${ErrorBox} fault=${fault} />
    <ol class="history">${lines?.map((l) => html`<li key=${l.fact}><span><b>${capitalize(l.text)}</b><span class="sub">${l.when}</span><span class="sub">${capitalize(l.why)}</span></span></li>`)}</ol>
    <button type="button" class="plain" onClick=${() =>
      resendRefused().then(() => {
        announceChange();
        requestSync();
      })}>Send them again now</button></section>`;
}

function Keep() {
  const [run, fault, busy] = useAction();
  const [said, say] = useState('');
  const pick = useRef(/** @type {any} */ (null));
  return html`<div class="row"><${SaveJournalButton} />
      <button type="button" class="act two small" disabled=${busy} onClick=${() => pick.current.click()}>Read a file</button>
      <input ref=${pick} type="file" accept=".json,application/json" hidden onChange=${(e) => {
        const file = e.target.files[0];
        if (file)
          run(async () => {
            const { read, added } = await loadJournal(file);
            say(`${read} entries read, ${added} of them new`);
          });
        e.target.value = '';
      }} /></div>
    ${said && html`<p class="note" role="status">${capitalize(said)}</p>`}<${ErrorBox} fault=${fault} />`;
}
