// Choose bags by place, by readiness or one by one; then open, rinse, finish, move or measure them together,
// with one undo.
import { Kind } from '../dist/constants.js';
import { html, capitalize } from '../parts/html.js';
import { useState } from 'preact/hooks';
import { record } from '../journal/journal.js';
import { placeViews, todayView } from '../journal/views.js';
import { isHelper } from '../sync/hub-state.js';
import { CompactLine, Tag } from '../parts/bag-tag.js';
import { useAction, useLiveData, useUnsaved } from '../parts/data-hooks.js';
import { Dialog } from '../parts/dialog.js';
import { useLongList } from '../parts/long-list.js';
import { ErrorBox } from '../parts/messages.js';
import { PlacePicker } from '../parts/place-picker.js';
import { Screen } from '../parts/screen.js';
import { TemperatureField, useTemperature } from '../parts/temperature-field.js';
import { WhenPicker, useWhen } from '../parts/when-picker.js';

/** steps lists what can be done next with bags of a stage, by the stage. */
const steps = {
  cure: { kind: Kind.bagOpened, words: 'Open', done: 'opened', body: {} },
  opened: { kind: Kind.bagRinsed, words: 'Mark rinsed', done: 'rinsed', body: { clear: true } },
  rinsed: { kind: Kind.bagDone, words: 'Mark washed and dry', done: 'washed and dry', body: {} },
};

const manyHelp = 'The buttons below apply to all of them; one undo reverts it.';

const countWords = (n) => (n === 1 ? '1 bag' : `${n} bags`);

/** groupsOf are sets of bags that one tap chooses: by how they stand, then by where. */
function groupsOf(day) {
  const groups = (day?.groups || []).map((g) => ({ key: g.key, words: g.title, bags: g.bags }));
  const all = groups.flatMap((g) => g.bags);
  for (const place of new Set(all.map((b) => b.placeName).filter(Boolean)))
    groups.push({ key: `at ${place}`, words: capitalize(place), bags: all.filter((b) => b.placeName === place) });
  return groups;
}

export function ManyBags() {
  const { value: day, fault } = useLiveData(todayView);
  const [ids, setIds] = useUnsaved('many-bags', /** @type {string[]} */ ([]));
  const [dialog, setDialog] = useState('');
  const when = useWhen();
  const [run, actionFault, busy] = useAction();
  const all = day?.groups.flatMap((g) => g.bags) || [];
  const { count, rest } = useLongList(all.length);
  const chosen = all.filter((b) => ids.includes(b.id));
  const toggle = (id) => setIds(ids.includes(id) ? ids.filter((x) => x !== id) : [...ids, id]);
  const write = (bags, kind, body, done) =>
    run(async (sure) => {
      const at = await when.read();
      const drafts = bags.map((b) => ({ scope: `batch/${b.batch}`, subject: b.id, kind, body, ...(at && { at }) }));
      await record(drafts, { undo: `${countWords(bags.length)} ${done}`, sure });
      when.reset();
    });
  const nextSteps = Object.entries(steps)
    .map(([stage, step]) => ({ ...step, bags: chosen.filter((b) => b.stage === stage) }))
    .filter((step) => step.bags.length > 0);
  return html`<${Screen} activeTab="today" title=${chosen.length ? countWords(chosen.length) : 'Several bags'}
    back=${{ href: '/', words: 'Today' }} fault=${fault || actionFault}
    sub=${chosen.length ? manyHelp : 'Choose a group, or tap bags one by one.'}
    actions=${
      chosen.length > 0 &&
      html`${nextSteps.map(
        (step) => html`<button type="button" class="button whole" key=${step.kind} disabled=${busy}
          onClick=${() => write(step.bags, step.kind, step.body, step.done)}>
          ${step.words} ${step.bags.length}</button>`,
      )}<button type="button" class="button secondary small" onClick=${() => setDialog('move')}>Move</button>
      ${
        !isHelper.value &&
        html`<button type="button" class="button secondary small"
          onClick=${() => setDialog('read')}>Temperature</button>`
      }`
    }>
    <div class="chips" role="group" aria-label="Choose">${groupsOf(day).map(
      (g) => html`<button type="button" class="chip" key=${g.key}
        aria-pressed=${g.bags.length === chosen.length && g.bags.every((b) => ids.includes(b.id))}
        onClick=${() => setIds(g.bags.map((b) => b.id))}>${g.words} (${g.bags.length})</button>`,
    )}
      ${chosen.length > 0 && html`<button type="button" class="chip" onClick=${() => setIds(undefined)}>Clear</button>`}
    </div>
    ${chosen.length > 0 && html`<${WhenPicker} of=${when} />`}
    <section class="compact"><ul class="tags many">${all.slice(0, count).map(
      (b) => html`<li key=${b.id}><span class="option tick">
        <input type="checkbox" id=${b.id} checked=${ids.includes(b.id)} onChange=${() => toggle(b.id)} />
        <label for=${b.id}><${Tag} compact><${CompactLine} bag=${b} /></${Tag}></label></span></li>`,
    )}</ul>${rest}</section>
    <${Dialog} open=${dialog !== ''} onClose=${() => setDialog('')} title=${`${countWords(chosen.length)}: ${
      dialog === 'move' ? 'move' : 'temperature'
    }`}>
      ${dialog === 'move' && html`<${MoveBags} bags=${chosen} when=${when} done=${() => setDialog('')} />`}
      ${dialog === 'read' && html`<${AddTemperatures} bags=${chosen} when=${when} done=${() => setDialog('')} />`}
    </${Dialog}>
  </${Screen}>`;
}

/** MoveBags moves all of them to one place. */
function MoveBags({ bags, when, done }) {
  const { value: places, fault: placesFault } = useLiveData(placeViews);
  const [place, setPlace] = useState(/** @type {string | null} */ (null));
  const [run, fault, busy] = useAction();
  const save = () =>
    run(async () => {
      const at = await when.read();
      const drafts = bags.map((b) => ({
        scope: `batch/${b.batch}`,
        subject: b.id,
        kind: Kind.bagMoved,
        body: { place },
        ...(at && { at }),
      }));
      await record(drafts, { undo: `${countWords(bags.length)} moved` });
      done();
    });
  return html`<div>${places && html`<${PlacePicker} places=${places} value=${place} onChange=${setPlace} />`}
    <${WhenPicker} of=${when} /><${ErrorBox} fault=${placesFault || fault} />
    <button type="button" class="button wide" disabled=${busy || place === null} onClick=${save}>
      Move ${countWords(bags.length)}</button></div>`;
}

/** AddTemperatures records one temperature for each place where the chosen bags are. */
function AddTemperatures({ bags, when, done }) {
  const places = [...new Map(bags.filter((b) => b.place).map((b) => [b.place, b.placeName]))];
  const temperature = useTemperature(undefined);
  const [run, fault, busy] = useAction();
  const save = () =>
    run(async () => {
      const [celsius, at] = [await temperature.read(), await when.read()];
      const body = { celsius, typed: { celsius: temperature.typed } };
      const drafts = places.map(([id]) => ({
        scope: `place/${id}`,
        subject: id,
        kind: Kind.placeRead,
        body,
        ...(at && { at }),
      }));
      await record(drafts, { undo: `${temperature.typed} saved` });
      done();
    });
  if (!places.length) return html`<p class="note">These bags have no place yet: move them to one first.</p>`;
  return html`<div><${TemperatureField} temperature=${temperature}
    label=${`Temperature now at ${places.map(([, n]) => n).join(', ')}`} />
    <${WhenPicker} of=${when} /><${ErrorBox} fault=${fault} />
    <button type="button" class="button wide" disabled=${busy || !temperature.text}
      onClick=${save}>Save</button></div>`;
}
