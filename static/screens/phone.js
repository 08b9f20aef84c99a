// This phone: its connection to the hub, how it displays numbers, and its journal as a file.
import { html, capitalize } from '../parts/html.js';
import { useRef, useState } from 'preact/hooks';
import { exampleMode } from '../device/example-mode.js';
import { isOfflineReady, isScannerReady } from '../device/service-worker.js';
import { setStyle, style } from '../device/settings.js';
import { announceChange } from '../journal/changes.js';
import { resendRefused } from '../journal/facts.js';
import { loadJournal } from '../journal/journal-file.js';
import { refusedLines } from '../journal/views.js';
import { closeExample, openExample } from '../sync/example.js';
import { loadArchive, saveArchive, saveTable } from '../sync/export.js';
import { hub, isHelper } from '../sync/hub-state.js';
import { photoFault } from '../sync/photos.js';
import { requestSync } from '../sync/sync-loop.js';
import { InAppAlarmSettings } from '../parts/alarm-form.js';
import { Choice } from '../parts/choice.js';
import { useAction, useLiveData } from '../parts/data-hooks.js';
import { DataLossWarning } from '../parts/data-loss-warning.js';
import { hubStatusText } from '../parts/hub-status.js';
import { LinkRow } from '../parts/link-row.js';
import { ErrorBox } from '../parts/messages.js';
import { SaveJournalButton } from '../parts/save-journal-button.js';
import { Screen } from '../parts/screen.js';

export function Phone() {
  return html`<${Screen} activeTab="" back=${{ href: '/', words: 'Today' }} title="This phone">
    <${DataLossWarning} />
    <${HubSection} />
    ${hub.value.refusedCount > 0 && html`<${RefusedEntries} />`}
    <${DisplaySection} />
    ${!exampleMode && html`<${AlarmSection} />`}
    <section><h2>The journal as a file</h2>
      <p class="sub">Every entry on this phone, to keep elsewhere or to load on another phone. A zip has the photos
        too; a table has a row for each bag, for a spreadsheet.</p>
      <${JournalFile} />
    </section>
    <${ExampleSection} />
    <p class="sub version">coldbatch</p>
  </${Screen}>`;
}

/** offlineText says whether the app works without the hub. */
function offlineText() {
  if (!isOfflineReady.value) return 'Not yet: bring this phone near the hub once';
  return isScannerReady.value ? 'Ready, scanning too' : 'Ready, but the scanner is not downloaded yet';
}

const HubSection = () => html`<section class="compact"><h2>Hub</h2>
  <dl class="figures"><dt>Now</dt><dd class="capitalized">${hub.value.isReached ? 'reached' : 'not reached'}</dd>
    ${hub.value.name && html`<dt>Name</dt><dd>${hub.value.name}</dd>`}
    <dt>Entries</dt><dd class="capitalized">${hubStatusText(hub.value)}</dd>
    <dt>Offline</dt><dd>${offlineText()}</dd>
    ${
      hub.value.clockOffset !== 0 && html`<dt>Clock</dt><dd>This phone’s clock is wrong; its times are corrected</dd>`
    }</dl>
  <${ErrorBox} fault=${hub.value.fault || photoFault.value} />
  <${Access} />
  <button type="button" class="button secondary small wide" onClick=${() => requestSync()}>Try the hub now</button>
  <${LinkRow} href="/check" title="Check this phone" sub="trust, name, hub, clock, storage" />
</section>`;

/** Access says what access this phone has, and links to where to change it. */
function Access() {
  const { role, wasPaired, quarantineMessage } = hub.value;
  if (exampleMode || !role) return null;
  if (role === 'owner') return html`<${LinkRow} href="/phones" title="Phones" sub="which have access; add one" />`;
  if (role === 'helper') {
    return html`<${LinkRow} href="/join" title="Helper’s phone"
      sub="sees the batches it joined; enter another code" />`;
  }
  return html`<p class="caution">${noAccessText(role, wasPaired, quarantineMessage)}</p>
    <a class="button wide" href="/join">${wasPaired ? 'Pair this phone again' : 'Pair this phone'}</a>`;
}

/** noAccessText says why the hub does not sync with this phone; quarantineMessage is what the hub said about it. */
function noAccessText(role, wasPaired, quarantineMessage) {
  if (role === 'out') {
    return `${capitalize(quarantineMessage || 'this phone was removed from the house')}. What you write stays here.`;
  }
  if (wasPaired) {
    return `The hub no longer knows this phone: it was set up again, or from an old backup. Nothing is lost:
      pair this phone again, and everything here is sent.`;
  }
  return 'This phone is not paired with the hub. What you write stays here until it is.';
}

/** RefusedEntries lists the entries that the hub refused. */
function RefusedEntries() {
  const { value: lines, fault } = useLiveData(refusedLines);
  const [run, sendFault, busy] = useAction();
  const resend = () =>
    run(async () => {
      await resendRefused();
      announceChange();
      requestSync();
    });
  return html`<section><h2>Refused by the hub</h2>
    <p class="sub">These entries stay on this phone. They are sent again when you pair it again.</p>
    <${ErrorBox} fault=${fault || sendFault} />
    <ol class="history">${lines?.map(
      (l) => html`<li key=${l.fact}><span><b>${capitalize(l.text)}</b><span class="sub">${l.when}</span>
        <span class="sub">${capitalize(l.reasons)}</span></span></li>`,
    )}</ol>
    <button type="button" class="text-button" disabled=${busy}
      onClick=${resend}>Send them again now</button></section>`;
}

const unitSystems = [
  { value: 'metric', words: 'grams, litres, °C' },
  { value: 'us', words: 'ounces, gallons, °F' },
];
const clockOptions = [
  { value: '24', words: '20:25' },
  { value: '12', words: '8:25 pm' },
];
const decimalSigns = [
  { value: '.', words: '2.5' },
  { value: ',', words: '2,5' },
];

const DisplaySection = () => html`<section><h2>Display</h2>
  <${Choice} label="Units" value=${style.value.system} options=${unitSystems}
    onChange=${(system) => setStyle({ system })} />
  <${Choice} label="Clock" value=${style.value.clock12 ? '12' : '24'} options=${clockOptions}
    onChange=${(value) => setStyle({ clock12: value === '12' })} />
  <${Choice} label="Decimal sign" value=${style.value.comma ? ',' : '.'} options=${decimalSigns}
    onChange=${(value) => setStyle({ comma: value === ',' })} />
</section>`;

const AlarmSection = () => html`<section><h2>Alarms</h2>
  ${
    !isHelper.value &&
    html`<${LinkRow} href="/calendars" title="Calendars at home"
      sub="see in your own calendar when bags are ready" />`
  }
  <${InAppAlarmSettings} />
</section>`;

/** JournalFile saves the journal, the photos and a table to files, and reads a file. */
function JournalFile() {
  const [run, fault, busy] = useAction();
  const [result, setResult] = useState('');
  const input = useRef(/** @type {any} */ (null));
  const readFile = (e) => {
    const file = e.target.files[0];
    e.target.value = '';
    if (!file) return;
    run(async () => {
      const isZip = /\.zip$/i.test(file.name);
      setResult(loadedWords(await (isZip ? loadArchive(file) : loadJournal(file))));
    });
  };
  const saveZip = () =>
    run(async () => {
      const saved = await saveArchive();
      if (saved) setResult(savedWords(saved));
    });
  const renderButton = (words, onClick) =>
    html`<button type="button" class="button secondary small" disabled=${busy} onClick=${onClick}>${words}</button>`;
  return html`<div class="row"><${SaveJournalButton} />
      ${renderButton('Save a zip with photos', saveZip)}
      ${renderButton('Save a table', () => run(saveTable))}
      ${renderButton('Read a file', () => input.current.click())}
      <input ref=${input} type="file" accept=".json,.zip,application/json,application/zip" hidden
        onChange=${readFile} /></div>
    ${result && html`<p class="note" role="status">${result}</p>`}<${ErrorBox} fault=${fault} />`;
}

/** loadedWords says what became of a file that was read. */
function loadedWords({ read, added, access, damaged = 0 }) {
  const why = 'a file may not decide who has access or restart a batch';
  const leftOut = access ? `; left out, because ${why}: ${access}` : '';
  const lost = damaged ? `; photos damaged in the file: ${damaged}` : '';
  return `${read} entries read, ${added} of them new${leftOut}${lost}`;
}

/** savedWords says what a zip holds. */
function savedWords({ entries, photos, missing }) {
  const count = (n, one) => `${n} ${n === 1 ? one : `${one}s`}`;
  const lack = missing ? `. ${count(missing, 'photo')} ${missing === 1 ? 'is' : 'are'} not on this phone` : '';
  return `${entries} entries and ${count(photos, 'photo')} saved${lack}`;
}

const ExampleSection = () => html`<section><h2>Example</h2>
  <button type="button" class="button secondary small wide" onClick=${exampleMode ? closeExample : openExample}>
    ${exampleMode ? 'Close the example' : 'Look at the example'}</button>
</section>`;
