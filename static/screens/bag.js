// One bag: how it stands, what it is, and what can be done with it.
import { Kind } from '../dist/constants.js';
import { html, capitalize } from '../parts/html.js';
import { useState } from 'preact/hooks';
import { isHelper } from '../sync/hub-state.js';
import { record } from '../journal/journal.js';
import { bagView, placeViews } from '../journal/views.js';
import { useLiveData, useAction } from '../parts/data-hooks.js';
import { Screen } from '../parts/screen.js';
import { Tag, BagNumber } from '../parts/bag-tag.js';
import { DyeFrontWithHours } from '../parts/dye-front.js';
import { Swatches } from '../parts/swatch.js';
import { Dialog } from '../parts/dialog.js';
import { PlacePicker } from '../parts/place-picker.js';
import { TemperatureField, useTemperature } from '../parts/temperature-field.js';
import { Choice } from '../parts/choice.js';
import { passPrintOrder, receiveBag } from '../parts/screen-handoff.js';
import { BlankPicker } from '../parts/blank-picker.js';
import { Icon } from '../parts/icons.js';
import { findBlank } from '../journal/find.js';
import { LabelDetails } from '../parts/label-details.js';
import { Photos } from '../parts/photos.js';
import { SplitBag } from '../parts/split-bag.js';
import { RinseSteps } from '../parts/rinse-steps.js';
import { ErrorBox, Notes } from '../parts/messages.js';

/** what each stage's big button does */
const next = {
  cure: { kind: Kind.bagOpened, words: 'Open and rinse', undo: 'opened' },
  opened: { kind: Kind.bagRinsed, words: 'It runs clear', undo: 'rinsed', body: { clear: true } },
  rinsed: { kind: Kind.bagDone, words: 'Washed and dry', undo: 'washed and dry' },
};

export function Bag({ batch, bag: id }) {
  const { value: bag, fault } = useLiveData(() => bagView(batch, id), [batch, id]);
  const [sheet, open] = useState(() => (receiveBag() === id ? 'label' : ''));
  const [run, wrong, busy] = useAction();
  const scope = `batch/${batch}`;
  const write = (kind, body, undo) => run(() => record([{ scope, subject: id, kind, body }], { undo }));
  const act = bag && next[bag.stage];
  const early = bag?.stage === 'cure' && bag.tone !== 'done';
  return html`<${Screen} here="today" back=${{ href: `/batch/${batch}`, words: bag?.batchName || 'Batch' }} fault=${fault || wrong}
    tone=${bag?.tone} over=${bag && `Bag ${bag.number}`} title=${bag ? capitalize(bag.headline) : 'Bag'} name=${bag && `Bag ${bag.number}`}
    acts=${act && html`<button type="button" class=${early ? 'act two' : 'act'} disabled=${busy} onClick=${() => write(act.kind, act.body || {}, `Bag ${bag.number} ${act.undo}`)}>${early ? 'Open it early' : act.words}</button>`}>
    ${
      bag &&
      html`<${Standing} bag=${bag} />
      <${Tag} big string><div class="line"><span class="aside">Bag </span><${BagNumber} bag=${bag} /><span class="what first">${bag.what}</span>
        <span class="when">${[bag.placeName, bag.closed].filter(Boolean).join(' · ')}</span></div></${Tag}>
      <section class="close"><${Swatches} colours=${bag.colours} /><p class="sub kinds">${capitalize([...new Set(bag.colours.map((c) => c.classIs))].join(', '))}</p></section>
      ${bag.stage === 'opened' && html`<${RinseSteps} bag=${bag} write=${write} />`}
      ${bag.stage === 'rinsed' && html`<p class="say">Machine-wash it hot and alone, then hang it out of the sun. A white rag pressed on the wet cloth stays clean when it is done.</p>`}
      ${bag.printed?.stale && html`<p class="caution">${capitalize(bag.printed.stale)}.</p><a class="act two small" href=${`/batch/${batch}/labels`} onClick=${() => passPrintOrder({ what: 'bags', bag: id })}>Print the label again</a>`}
      ${bag.tied && html`<p class="note">The label tied on reads ${bag.tied.join(' and ')}.</p>`}
      ${bag.into?.map((b) => html`<a class="link-row" href=${`/bag/${batch}/${b.id}`}><span><b>Bag ${b.number}</b><span class="sub">pieces were taken over into it</span></span><${Icon} name="on" /></a>`)}
      <${Notes} list=${bag.notes} />
      <${Photos} bag=${bag} />
      <section class="tools"><h2>Something else</h2>
        ${
          bag.stage === 'cure' &&
          html`
          <button type="button" class="act two small" onClick=${() => open('warm')}>Temperature</button>
          <button type="button" class="act two small" onClick=${() => open('move')}>It moved</button>
          <button type="button" class="act two small" onClick=${() => write(Kind.bagLooked, {}, `Looked into bag ${bag.number}`)}>I had a look</button>
          <button type="button" class="act two small" onClick=${() => open('dry')}>It went dry</button>`
        }
        <button type="button" class="act two small" onClick=${() => open('label')}>Label</button>
        ${bag.stage === 'cure' && html`<button type="button" class="act two small" onClick=${() => open('split')}>Into another bag</button>`}
        ${bag.blanks && html`<button type="button" class="act two small" onClick=${() => open('tie')}>Tie a blank on</button>`}
      </section>
      ${(bag.model || bag.share) && html`<details><summary>How the time is reckoned</summary><p>${[bag.share && `${capitalize(bag.share)} has passed`, bag.model && capitalize(bag.model)].filter(Boolean).join('. ')}.</p></details>`}
      <${Dialog} open=${sheet === 'warm'} onClose=${() => open('')} title="Temperature"><${Warm} bag=${bag} done=${() => open('')} /></${Dialog}>
      <${Dialog} open=${sheet === 'move'} onClose=${() => open('')} title="It stands elsewhere"><${Move} bag=${bag} write=${write} done=${() => open('')} /></${Dialog}>
      <${Dialog} open=${sheet === 'dry'} onClose=${() => open('')} title="Something in it went dry"><${Dry} write=${write} bag=${bag} done=${() => open('')} /></${Dialog}>
      <${Dialog} open=${sheet === 'tie'} onClose=${() => open('')} title="Tie a numbered blank on">${sheet === 'tie' && html`<${Tie} bag=${bag} done=${() => open('')} />`}</${Dialog}>
      <${Dialog} open=${sheet === 'split'} onClose=${() => open('')} title="Put pieces in another bag">${sheet === 'split' && html`<${SplitBag} bag=${bag} done=${() => open('')} />`}</${Dialog}>
      <${Dialog} open=${sheet === 'label'} onClose=${() => open('')} title=${`Label of bag ${bag.number}`}><${LabelDetails} bag=${bag} /></${Dialog}>`
    }
  </${Screen}>`;
}

/** Standing says how the bag stands: how long still, when, to be safe, on what that rests. */
const Standing = ({ bag }) => html`<div class="standing">
  ${
    bag.left &&
    html`<p class="big">${bag.leftParts.map((p) => html`<span class="held">${p.number}<small>${p.unit}</small></span> `)}<span class="held"><small>more</small></span></p>`
  }
  ${bag.when && html`<p class="lead">${capitalize(bag.when)}</p>`}
  ${bag.stage === 'cure' && html`<p class="sub">${capitalize([bag.safe, bag.if].filter(Boolean).join(', '))}</p>`}
  ${bag.strip && bag.colours.length > 0 && html`<${DyeFrontWithHours} id=${bag.id} strip=${bag.strip} colours=${bag.colours} mark=${bag.stage === 'cure' ? 'now' : 'opened'} />`}
</div>`;

function Warm({ bag, done }) {
  const { value: places } = useLiveData(placeViews);
  const there = places?.find((p) => p.id === bag.place);
  const degrees = useTemperature(places ? there?.celsius : null);
  const [run, fault, busy] = useAction();
  const save = () =>
    run(async () => {
      const celsius = /** @type {number} */ (await degrees.read());
      await record(
        [
          bag.place && !isHelper.value
            ? {
                scope: `place/${bag.place}`,
                subject: bag.place,
                kind: Kind.placeRead,
                body: { celsius, typed: { celsius: degrees.typed } },
              }
            : {
                scope: `batch/${bag.batch}`,
                subject: bag.id,
                kind: Kind.bagMoved,
                body: { place: bag.place, celsius },
              },
        ],
        { undo: `${degrees.typed} noted` },
      );
      done();
    });
  return html`<div><${TemperatureField} of=${degrees} label=${bag.placeName ? `Now at: ${bag.placeName}` : 'Where the bag stands'} help=${there?.text} /><${ErrorBox} fault=${fault} /><button type="button" class="act wide" disabled=${busy || !degrees.text} onClick=${save}>Note the temperature</button></div>`;
}

function Move({ bag, write, done }) {
  const { value: places } = useLiveData(placeViews);
  const [place, setPlace] = useState(bag.place || '');
  const there = places?.find((p) => p.id === place);
  const degrees = useTemperature(places ? there?.celsius : null);
  const save = async () => {
    const celsius = degrees.touched ? await degrees.read().catch(() => undefined) : undefined;
    await write(Kind.bagMoved, { place, celsius }, `Bag ${bag.number} moved`);
    done();
  };
  return (
    places &&
    html`<div><${PlacePicker} places=${places} value=${place} onChange=${setPlace} /><${TemperatureField} of=${degrees} help=${there?.text} /><button type="button" class="act wide" onClick=${save}>It stands there now</button></div>`
  );
}

function Dry({ bag, write, done }) {
  const [wetted, set] = useState('yes');
  const save = async () => {
    await write(Kind.bagDried, { wetted: wetted === 'yes' }, `Bag ${bag.number}: went dry`);
    done();
  };
  return html`<div><p>Dye bonds only where it is wet.</p><${Choice} one label="Did you wet it again?" value=${wetted} onChange=${set} options=${[{ value: 'yes', words: 'yes, with soda-ash water' }, { value: 'no', words: 'no, it is still dry' }]} /><button type="button" class="act wide" onClick=${save}>Note it</button></div>`;
}

function Tie({ bag, done }) {
  const [number, set] = useState('');
  const [run, fault, busy] = useAction();
  const save = () =>
    run(async () => {
      const { token } = await findBlank(bag.batch, number);
      await record([{ scope: `batch/${bag.batch}`, subject: bag.id, kind: Kind.bagBound, body: { token } }], {
        undo: `Blank ${number} tied to bag ${bag.number}`,
      });
      done();
    });
  return html`<div><${BlankPicker} batch=${bag.batch} free=${bag.blanks} lettered=${bag.blanksLettered} onPick=${set} /><${ErrorBox} fault=${fault} /><button type="button" class="act wide" disabled=${busy || !number} onClick=${save}>Tie it on</button></div>`;
}
