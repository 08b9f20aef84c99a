// The soak: how much soda ash in how much water, and what became of it.
import { Kind } from '../dist/constants.js';
import { html, capitalize, keepUnits } from '../parts/html.js';
import { useState, useEffect } from 'preact/hooks';
import { call } from '../core/core.js';
import { asFault } from '../core/fault.js';
import { record } from '../journal/journal.js';
import { batchView, runCalculator } from '../journal/views.js';
import { style } from '../device/settings.js';
import { useLiveData, useData, useAction } from '../parts/data-hooks.js';
import { Icon } from '../parts/icons.js';
import { passPrintOrder } from '../parts/screen-handoff.js';
import { Screen } from '../parts/screen.js';
import { Stepper } from '../parts/stepper.js';
import { Quantity } from '../parts/field.js';
import { ErrorBox, Notes, Cautions, Sources } from '../parts/messages.js';

export function Soak({ id }) {
  const { value: batch, fault } = useLiveData(() => batchView(id), [id]);
  const [run, wrong, busy] = useAction();
  const soak = batch?.soak;
  const frame = {
    here: 'batches',
    title: 'Soak',
    back: { href: `/batch/${id}`, words: batch?.name || 'Batch' },
    fault: fault || wrong,
  };
  if (!soak) return html`<${Screen} ...${frame} />`;
  if (soak.stage === 'plan') return html`<${Plan} frame=${frame} batch=${batch} />`;
  const write = (kind, undo) =>
    run(() => record([{ scope: `batch/${id}`, subject: soak.id, kind, body: {} }], { undo }));
  const acts = {
    mixed: html`<button type="button" class="act" disabled=${busy} onClick=${() => write(Kind.soakBegun, 'In the soak')}>The pieces are in</button>`,
    soaking: html`<button type="button" class="act" disabled=${busy} onClick=${() => write(Kind.soakEnded, 'Out of the soak')}>Out, and wrung</button>`,
    done: html`<a class="act" href=${`/batch/${id}/jugs`}>On to the jugs</a>`,
  };
  const say = {
    mixed: 'Lay the pieces in one by one so that each gets wet through.',
    soaking: 'Then wring each until it no longer drips. Keep the bath: it serves more.',
    done: 'Keep the bath for the next pieces; pour the rest down the drain with much water.',
  };
  return html`<${Screen} ...${frame} sub=${capitalize(soak.text)} acts=${acts[soak.stage]}>
    ${soak.stage !== 'done' && html`<p class="lead">Leave them ${keepUnits(soak.minutes)}</p>`}
    <p class="say">${say[soak.stage]}</p>
    <section class="close"><${Figures} rows=${[['Water', soak.water], ['Soda ash', soak.soda], ['pH', soak.ph], ['Serves', soak.serves]]} /></section>
    <${Notes} list=${soak.notes} /><${Cautions} list=${soak.cautions} /><${Sources} list=${soak.sources} />
    ${soak.stage !== 'done' && html`<${ToPrint} batch=${id} />`}
  </${Screen}>`;
}

/** ToPrint leads to the label of the bucket. */
const ToPrint = ({ batch }) =>
  html`<a class="link-row" href=${`/batch/${batch}/labels`} onClick=${() => passPrintOrder({ what: 'bucket', back: location.pathname, words: 'Soak' })}><span><b>Print a label for the bucket</b><span class="sub">soda ash, not a drink</span></span><${Icon} name="on" /></a>`;

/** Figures lists what there is. */
const Figures = ({ rows }) =>
  html`<dl class="facts">${rows.filter(([, text]) => text).map(([name, text]) => html`<dt>${name}</dt><dd>${capitalize(text)}</dd>`)}</dl>`;

/** withAside writes a figure of a sum with what stands in brackets behind it. */
const withAside = ({ text, main = text, aside }) => (aside ? `${main} (${aside})` : main);

/** Plan asks for the water; the core gives the soda ash. */
function Plan({ frame, batch }) {
  const us = style.value.system === 'us',
    unit = us ? 'gal' : 'L',
    step = us ? 0.25 : 0.5;
  const { value: water } = useData(() =>
    call('unit.format', { kind: 'volume', value: batch.soak.waterML, style: style.value }),
  );
  const [amount, setAmount] = useState('');
  const [got, set] = useState(/** @type {any} */ (undefined));
  const [weighed, setWeighed] = useState('');
  const [read, setRead] = useState(/** @type {any} */ ({}));
  const [run, wrong, busy] = useAction();
  const start = water && (water.unit === unit && water.number ? water.number : '1');
  const now = amount || start || '';
  useEffect(() => {
    if (!now) return;
    let here = true;
    call('unit.format', { kind: 'mass', value: batch.grams || 0 })
      .then((goods) =>
        runCalculator('soak', { water: `${now} ${unit}`, ...(batch.grams > 0 && { goods: goods.text }) }),
      )
      .then(
        (value) => here && set({ value }),
        (err) => here && set({ fault: asFault(err) }),
      );
    return () => {
      here = false;
    };
  }, [now, unit, batch.grams]);
  const out = got?.value?.outputs;
  const mixed = () =>
    run(async () => {
      const body = {
        water: got.value.inputs.water.value,
        soda: weighed.trim() ? read.value : out.soda_ash.value,
        form: 'anhydrous',
        typed: { water: `${now} ${unit}`, ...(weighed.trim() && { soda: weighed.trim() }) },
      };
      await record([{ scope: `batch/${batch.id}`, kind: Kind.soakMixed, body }], { undo: 'Soak mixed' });
    });
  return html`<${Screen} ...${frame} fault=${frame.fault || wrong} acts=${html`<button type="button" class="act" disabled=${busy || !out || (weighed.trim() && !read.value)} onClick=${mixed}>It is mixed</button>`}>
    <${Stepper} label="Water" value=${now} unit=${unit} onChange=${setAmount} step=${step} min=${step} max=${200} />
    <${ErrorBox} fault=${got?.fault} />
    ${
      out &&
      html`<div class="answer"><p class="sub">Soda ash, anhydrous</p><p class="big">${keepUnits(out.soda_ash.main || out.soda_ash.text)}${out.soda_ash.aside && html`<small>(${out.soda_ash.aside})</small>`}</p>
      <${Figures} rows=${[['Strength', out.concentration?.text], ['pH', out.ph && withAside(out.ph)], ['Dissolves', out.dissolves?.text], ['Serves', out.serves?.text], ['Top up with', out.top_up?.value > 0 && out.top_up.text]]} /></div>
      <p class="say">Sprinkle it into lukewarm water while stirring; never pour water onto the powder. Stir until it is clear.</p>
      <${Notes} list=${got.value.notes} />
      <details><summary>I weighed another amount</summary><${Quantity} label="Soda ash weighed" kinds=${['mass']} value=${weighed} onInput=${setWeighed} onRead=${setRead} placeholder="250 g" /></details>
      <${Cautions} list=${batch.soak.cautions} /><${Sources} list=${got.value.sources} />`
    }
    <${ToPrint} batch=${batch.id} />
  </${Screen}>`;
}
