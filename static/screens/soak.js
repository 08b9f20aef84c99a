// The soak: how much soda ash in how much water, and what became of it.
import { Kind } from '../dist/constants.js';
import { html, capitalize, keepUnits } from '../parts/html.js';
import { useState, useEffect } from 'preact/hooks';
import { call } from '../core/core.js';
import { asFault } from '../core/fault.js';
import { style } from '../device/settings.js';
import { useScreenOn } from '../device/wake-lock.js';
import { record } from '../journal/journal.js';
import { batchView, runCalculator } from '../journal/views.js';
import { unlockSound } from '../scan/scan-feedback.js';
import { BathChecks, Countdown } from '../parts/bath-checks.js';
import { useAction, useData, useLiveData, useUnsaved } from '../parts/data-hooks.js';
import { Quantity } from '../parts/field.js';
import { LinkRow } from '../parts/link-row.js';
import { Cautions, ErrorBox, Notes, Sources } from '../parts/messages.js';
import { passPrintOrder } from '../parts/screen-handoff.js';
import { Screen } from '../parts/screen.js';
import { Stepper } from '../parts/stepper.js';
import { WhenPicker, useWhen } from '../parts/when-picker.js';

export function Soak({ id }) {
  const { value: batch, fault } = useLiveData(() => batchView(id), [id]);
  const screenProps = {
    activeTab: 'batches',
    title: 'Soak',
    back: { href: `/batch/${id}`, words: batch?.name || 'Batch' },
    fault,
  };
  if (!batch?.soak) return html`<${Screen} ...${screenProps} />`;
  if (batch.soak.stage === 'plan') return html`<${SoakPlan} screenProps=${screenProps} batch=${batch} />`;
  return html`<${MixedSoak} screenProps=${screenProps} id=${id} soak=${batch.soak} pieces=${batch.pieces} />`;
}

/** stages say what to do with a mixed bath, and what its button records. */
const stages = {
  mixed: {
    advice: 'Lay the pieces in one by one so that each gets wet through.',
    kind: Kind.soakBegun,
    words: 'The pieces are in',
    undo: 'In the soak',
  },
  soaking: {
    advice: 'Then wring each until it no longer drips. Keep the bath: it serves more.',
    kind: Kind.soakEnded,
    words: 'Out, and wrung',
    undo: 'Out of the soak',
  },
  done: { advice: 'Keep the bath for the next pieces; pour the rest down the drain with plenty of water.' },
};

function MixedSoak({ screenProps, id, soak, pieces }) {
  useScreenOn();
  const [some, setSome] = useState(/** @type {string[]} */ ([])); // the pieces that go in or come out; none for all
  const when = useWhen();
  const [run, fault, busy] = useAction();
  const write = (kind, body, undo) =>
    run(async (sure) => {
      unlockSound(); // so that the countdown may beep
      const at = await when.read();
      const draft = { scope: `batch/${id}`, subject: soak.id, kind, body, ...(at && { at }) };
      await record([draft], { undo, sure });
      when.reset();
      setSome([]);
      if ([Kind.soakBegun, Kind.soakEnded].includes(kind)) scrollTo(0, 0); // to the count-down
    });
  const lot = some.length > 0 ? { pieces: some } : {};
  const { advice, kind, words, undo } = stages[soak.stage];
  const next = html`<a class="button" href=${`/batch/${id}/jugs`}>On to the jugs</a>`;
  const moreIn = html`<button type="button" class="button secondary small" disabled=${busy}
    onClick=${() => write(Kind.soakBegun, lot, 'In the soak')}>More pieces in</button>`;
  const rows = [
    ['Water', soak.water],
    ['Soda ash', soak.soda],
    ['pH', soak.ph],
    ['Serves', soak.serves],
  ];
  return html`<${Screen} ...${screenProps} fault=${screenProps.fault || fault} sub=${capitalize(soak.text)}
    actions=${html`${
      kind
        ? html`<button type="button" class="button" disabled=${busy} onClick=${() => write(kind, lot, undo)}>
            ${words}</button>`
        : next
    }${soak.stage !== 'mixed' && moreIn}`}>
    ${soak.lots.map((lot) => html`<${Countdown} key=${lot.in} lot=${lot} />`)}
    ${kind && html`<p class="lead">Leave them ${keepUnits(soak.minutes)}</p>`}
    <p class="body-text">${advice}</p>
    ${pieces.length > 1 && html`<${SomePieces} pieces=${pieces} some=${some} onChange=${setSome} />`}
    <${WhenPicker} of=${when} />
    <section class="compact"><${Figures} rows=${rows} /></section>
    <${BathChecks} soak=${soak} write=${write} busy=${busy} />
    <${Notes} list=${soak.notes} /><${Cautions} list=${soak.cautions} /><${Sources} list=${soak.sources} />
    ${kind && html`<${BucketLabelRow} batch=${id} />`}
    <button type="button" class="text-button" disabled=${busy}
      onClick=${() => write(Kind.soakDiscarded, {}, 'Bath poured away')}>The bath is spent: poured away</button>
  </${Screen}>`;
}

/** SomePieces chooses the lot that goes in or comes out: all of the batch, or some lines of it. */
const SomePieces = ({ pieces, some, onChange }) => html`<details open=${some.length > 0}>
  <summary>Which pieces: ${some.length > 0 ? `${some.length} of ${pieces.length} lines` : 'all'}</summary>
  <div class="options one-column">${pieces.map(
    (p) => html`<span class="option" key=${p.id}>
      <input type="checkbox" id=${`lot${p.id}`} checked=${some.includes(p.id)}
        onChange=${() => onChange(some.includes(p.id) ? some.filter((x) => x !== p.id) : [...some, p.id])} />
      <label for=${`lot${p.id}`}><span class="capitalized">${p.words}</span></label></span>`,
  )}</div></details>`;

/** BucketLabelRow leads to the label of the bucket. */
const BucketLabelRow = ({ batch }) => html`<${LinkRow} href=${`/batch/${batch}/labels`}
  title="Print a label for the bucket" sub="soda ash, not a drink"
  onClick=${() => passPrintOrder({ what: 'bucket', back: location.pathname, words: 'Soak' })} />`;

/** Figures lists what there is. */
const Figures = ({ rows }) =>
  html`<dl class="figures">${rows
    .filter(([, text]) => text)
    .map(([name, text]) => html`<dt>${name}</dt><dd>${capitalize(text)}</dd>`)}</dl>`;

/** withAside writes an output of a sum with its addition in brackets. */
const withAside = ({ text, main = text, aside }) => (aside ? `${main} (${aside})` : main);

/** useSoakSum runs the core's soak calculator for an amount of water: {value, fault}. */
function useSoakSum(amount, unit, goodsGrams) {
  const [result, setResult] = useState(/** @type {any} */ ({}));
  useEffect(() => {
    if (!amount) return;
    let current = true;
    const sum = async () => {
      const goods = goodsGrams > 0 && (await call('unit.format', { kind: 'mass', value: goodsGrams })).text;
      return runCalculator('soak', { water: `${amount} ${unit}`, ...(goods && { goods }) });
    };
    sum().then(
      (value) => current && setResult({ value }),
      (err) => current && setResult({ fault: asFault(err) }),
    );
    return () => {
      current = false;
    };
  }, [amount, unit, goodsGrams]);
  return result;
}

/** useWater holds the water in the person's own unit; it begins at what the batch needs. */
function useWater(id, waterML) {
  const us = style.value.system === 'us';
  const unit = us ? 'gal' : 'L';
  const show = () => call('unit.format', { kind: 'volume', value: waterML, style: style.value });
  const { value: water, fault } = useData(show);
  const [typed, setTyped] = useUnsaved(`soak.${id}.water`, '');
  const start = water && (water.unit === unit && water.number ? water.number : '1');
  return { amount: typed || start || '', setAmount: setTyped, unit, step: us ? 0.25 : 0.5, fault };
}

/** SoakPlan asks for the water; the core gives the soda ash. */
function SoakPlan({ screenProps, batch }) {
  const water = useWater(batch.id, batch.soak.waterML);
  const sum = useSoakSum(water.amount, water.unit, batch.grams || 0);
  const [weighed, setWeighed] = useUnsaved(`soak.${batch.id}.soda`, '');
  const [reading, setReading] = useState(/** @type {any} */ ({})); // as Quantity read it
  const when = useWhen();
  const [run, fault, busy] = useAction();
  const outputs = sum.value?.outputs;
  const isWeighed = weighed.trim() !== '';
  const save = () =>
    run(async (sure) => {
      const body = {
        water: sum.value.inputs.water.value,
        soda: isWeighed ? reading.value : outputs.soda_ash.value,
        form: 'anhydrous',
        typed: { water: `${water.amount} ${water.unit}`, ...(isWeighed && { soda: weighed.trim() }) },
      };
      const at = await when.read();
      await record([{ scope: `batch/${batch.id}`, kind: Kind.soakMixed, body, ...(at && { at }) }], {
        undo: 'Soak mixed',
        sure,
      });
      setWeighed(undefined);
      water.setAmount(undefined);
    });
  const canSave = !busy && outputs && (!isWeighed || reading.value);
  return html`<${Screen} ...${screenProps} fault=${screenProps.fault || fault || water.fault}
    actions=${html`<button type="button" class="button" disabled=${!canSave} onClick=${save}>It is mixed</button>`}>
    <${Stepper} label="Water" value=${water.amount} unit=${water.unit} onChange=${water.setAmount} step=${water.step}
      min=${water.step} max=${200} />
    <${ErrorBox} fault=${sum.fault} />
    ${
      outputs &&
      html`<${SodaAnswer} outputs=${outputs} />
      <p class="body-text">Sprinkle it into lukewarm water while stirring; never pour water onto the powder.
        Stir until it is clear.</p>
      <${Notes} list=${sum.value.notes} />
      <details><summary>I weighed a different amount</summary>
        <${Quantity} label="Soda ash weighed" kinds=${['mass']} value=${weighed} onInput=${setWeighed}
          onRead=${setReading} placeholder="250 g" /></details>
      <${WhenPicker} of=${when} />
      <${Cautions} list=${batch.soak.cautions} /><${Sources} list=${sum.value.sources} />`
    }
    <${BucketLabelRow} batch=${batch.id} />
  </${Screen}>`;
}

/** SodaAnswer shows the soda ash large, and what else the core says about the bath. */
function SodaAnswer({ outputs }) {
  const { text, main = text, aside } = outputs.soda_ash;
  const rows = [
    ['Strength', outputs.concentration?.text],
    ['pH', outputs.ph && withAside(outputs.ph)],
    ['Dissolves', outputs.dissolves?.text],
    ['Serves', outputs.serves?.text],
    ['Top up with', outputs.top_up?.value > 0 && outputs.top_up.text],
  ];
  return html`<div class="answer"><p class="sub">Soda ash, anhydrous</p>
    <p class="big-text">${keepUnits(main)}${aside && html`<small>(${aside})</small>`}</p>
    <${Figures} rows=${rows} /></div>`;
}
