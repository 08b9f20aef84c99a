// The soak: how much soda ash in how much water, and what became of it.
import {html, first} from '/parts/html.js';
import {useState, useEffect} from 'preact/hooks';
import {call} from '/core.js';
import {record} from '/journal.js';
import {batchView, sum} from '/views.js';
import {style} from '/settings.js';
import {useLive, useAsk, useDo} from '/parts/live.js';
import {Screen} from '/parts/screen.js';
import {Stepper} from '/parts/stepper.js';
import {Quantity} from '/parts/field.js';
import {Wrong, Notes, Cautions, Sources} from '/parts/said.js';

export function Soak({id}) {
  const {value: batch, fault} = useLive(() => batchView(id), [id]);
  const soak = batch?.soak;
  const scope = `batch/${id}`;
  const [run, wrong, busy] = useDo();
  const write = (kind, undo) => run(() => record([{scope, subject: soak.id, kind, body: {}}], {undo}));
  const acts = {
    mixed: html`<button type="button" class="act" disabled=${busy} onClick=${() => write('soak.begun', 'In the soak')}>The pieces are in</button>`,
    soaking: html`<button type="button" class="act" disabled=${busy} onClick=${() => write('soak.ended', 'Out of the soak')}>Out, and wrung</button>`,
    done: html`<a class="act" href=${`/batch/${id}/jugs`}>On to the jugs</a>`,
  };
  return html`<${Screen} here="batches" back=${{href: `/batch/${id}`, words: batch?.name || 'Batch'}} title="Soak" fault=${fault || wrong} sub=${soak && soak.stage !== 'plan' && first(soak.text)} acts=${soak && acts[soak.stage]}>
    ${soak?.stage === 'plan' ? html`<${Plan} batch=${batch} scope=${scope} />` : soak && html`<${Bath} soak=${soak} />`}
    ${soak?.stage === 'mixed' && html`<p class="say">Lay the pieces in one by one so that each gets wet through. Leave them ${soak.minutes}.</p>`}
    ${soak?.stage === 'soaking' && html`<p class="say">Leave them ${soak.minutes}. Then wring each until it no longer drips. Keep the bath: it serves more.</p>`}
    ${soak && html`<${Notes} list=${soak.notes} /><${Cautions} list=${soak.cautions} /><${Sources} list=${soak.sources} />`}
  </${Screen}>`;
}

/** Bath is what was mixed, in figures. */
const Bath = ({soak}) => html`<dl class="facts"><dt>Water</dt><dd>${soak.water}</dd><dt>Soda ash</dt><dd>${soak.soda}</dd><dt>pH</dt><dd>${soak.ph}</dd><dt>Serves</dt><dd>${soak.serves}</dd></dl>`;

/** Plan asks for the water; the core gives the soda ash. */
function Plan({batch, scope}) {
  const us = style.value.system === 'us';
  const unit = us ? 'gal' : 'L';
  const {value: water} = useAsk(() => call('unit.show', {kind: 'volume', value: batch.soak.waterML, style: style.value}));
  const [amount, setAmount] = useState('');
  const [got, set] = useState();
  const [typed, setTyped] = useState('');
  const [read, setRead] = useState({});
  const [run, fault, busy] = useDo();
  const start = water && (/ (L|gal)$/.test(water.text) ? water.text.split(' ')[0] : us ? '1' : '2');
  const now = amount || start || '';
  const asTyped = `${now} ${unit}`;
  useEffect(() => {
    if (!now) return;
    let here = true;
    sum('soak', {water: asTyped, ...(batch.grams > 0 && {goods: `${Math.round(batch.grams)} g`})}).then(v => here && set({value: v}), err => here && set({fault: err}));
    return () => { here = false; };
  }, [now, unit, batch.grams]);
  const out = got?.value?.outputs;
  const mixed = () => run(async () => {
    const soda = typed.trim() ? read.value : out.soda_ash.value;
    const body = {water: got.value.inputs.water.value, soda, form: 'anhydrous', typed: {water: asTyped, ...(typed.trim() && {soda: typed.trim()})}};
    await record([{scope, kind: 'soak.mixed', body}], {undo: 'Soak mixed'});
  });
  return html`
    <${Stepper} label="Water" value=${now} unit=${unit} onChange=${setAmount} step=${us ? .25 : .5} min=${us ? .25 : .5} max=${200} />
    ${got?.fault && html`<${Wrong} fault=${got.fault} />`}
    ${out && html`<div class="answer"><p class="sub">Soda ash, anhydrous</p><p class="big">${figure(out.soda_ash.text)}</p></div>
      <dl class="facts"><dt>Strength</dt><dd>${out.concentration?.text}</dd><dt>pH</dt><dd>${out.ph?.text}</dd><dt>Dissolves</dt><dd>${first(out.dissolves?.text || '')}</dd><dt>Serves</dt><dd>${out.serves?.text}</dd>${out.top_up && html`<dt>Top up with</dt><dd>${out.top_up.text}</dd>`}</dl>
      <p class="say">Sprinkle it into lukewarm water while stirring, never water onto soda ash. Stir until it is clear.</p>
      <details><summary>I weighed another amount</summary><${Quantity} label="Soda ash weighed" kinds=${['mass']} value=${typed} onInput=${setTyped} onRead=${setRead} placeholder="250 g" /></details>
      <${Wrong} fault=${fault} />
      <button type="button" class="act wide" disabled=${busy || (typed.trim() && !read.value)} onClick=${mixed}>It is mixed</button>`}`;
}

/** figure sets a quantity large and the other system small. */
const figure = text => {
  const [, main, rest] = /^([^(]*)(.*)$/.exec(text);
  return html`${main.trim()}${rest && html`<small>${rest}</small>`}`;
};
