// Jugs: the powder for each colour, weighed against its band, made up to its volume.
import {html, first} from '/parts/html.js';
import {useState, useEffect} from 'preact/hooks';
import {call} from '/core.js';
import {record} from '/journal.js';
import {batchView} from '/views.js';
import {state} from '/states.js';
import {env} from '/env.js';
import {useLive, useDo} from '/parts/live.js';
import {Screen} from '/parts/screen.js';
import {Cap} from '/parts/cap.js';
import {Dial} from '/parts/scale.js';
import {Stepper} from '/parts/stepper.js';
import {Swatch} from '/parts/swatch.js';
import {Icon} from '/parts/icons.js';
import {useAwake} from '/parts/awake.js';
import {Wrong, Notes, Cautions} from '/parts/said.js';

export function Jugs({id}) {
  const {value: batch, fault} = useLive(() => batchView(id), [id]);
  const [chosen, choose] = useState(null);
  useAwake();
  const jugs = batch?.jugs || [];
  const jug = jugs.find(j => j.colour.id === chosen) || jugs.find(j => !j.done);
  const at = jugs.indexOf(jug);
  return html`<${Screen} here="batches" back=${{href: `/batch/${id}`, words: batch?.name || 'Batch'}} fault=${fault}
    over=${jug && `Jug ${at + 1} of ${jugs.length}`} title=${jug ? first(jug.colour.name) : 'Jugs'} sub=${!jug && batch && (jugs.length ? 'All jugs are mixed.' : 'No colour is chosen yet.')}
    acts=${batch && !jug && html`<a class="act" href=${`/batch/${id}/${jugs.length ? 'bagging' : 'colours'}`}>${jugs.length ? 'On to dyeing and bagging' : 'Choose the colours'}</a>`}>
    ${jug && html`<${Weighing} key=${jug.colour.id + jug.id} batch=${batch} jug=${jug} done=${() => choose(null)} />`}
    ${jugs.length > 1 && html`<section><h2>All jugs</h2>${jugs.map(j => html`<button type="button" class="link-row" key=${j.colour.id} aria-current=${j === jug ? 'true' : undefined} onClick=${() => { choose(j.colour.id); scrollTo(0, 0); }}>
      <span class="tail"><${Swatch} colour=${j.colour} little /><span><b class="first">${j.colour.name}</b><span class="sub">${j.mixed || `${j.powder} made up to ${j.volume}`}</span></span></span><${Icon} name=${j.done ? 'tick' : 'on'} /></button>`)}</section>`}
    ${jugs.length === 1 && jugs[0].done && html`<p class="say">${first(jugs[0].mixed)}</p>`}
  </${Screen}>`;
}

/** Weighing is one jug: its cap, the scale, what the core advises, and the mixing. */
function Weighing({batch, jug, done}) {
  const [text, set] = useState('');
  const [got, setGot] = useState();
  const [run, fault, busy] = useDo();
  const grams = Number(text.replace(',', '.'));
  useEffect(() => {
    if (!text.trim()) { setGot(null); return; }
    let here = true;
    call('unit.parse', {kind: 'mass', typed: `${text} g`}).then(async v => call('batch.weigh', {state: await state(`batch/${batch.id}`), env: await env(), colour: jug.colour.id, grams: v.value})).then(v => here && setGot({value: v}), err => here && setGot({fault: err}));
    return () => { here = false; };
  }, [text, jug.powderG]);
  const w = got?.value;
  const mixed = () => run(async () => {
    const body = {colour: jug.colour.id, powder: w ? grams : jug.powderG, ml: w ? w.makeUpTo : jug.volumeML, typed: w ? {powder: `${text} g`} : undefined};
    await record([{scope: `batch/${batch.id}`, kind: 'jug.mixed', body}], {undo: `Jug of ${jug.colour.name} mixed`});
    done();
  });
  const [powder] = jug.powder.split(' (');
  return html`
    <${Cap} rgb=${jug.colour.rgb} caps=${jug.colour.caps} grams=${powder} volume=${jug.volume.split(' (')[0]} />
    <p class="say centre">${jug.scaleNote ? `${first(jug.scaleNote)}.` : html`<b>${jug.powder}</b> made up to <b>${jug.volume}</b>`}</p>
    ${jug.done && html`<p class="note">${first(jug.mixed)}. ${jug.advice && `${first(jug.advice)}.`}</p>`}
    <${Dial} target=${w?.target || jug.powderG} low=${w?.low} high=${w?.high} reading=${grams} targetText=${powder} readingText=${`${text} g`} verdict=${w && (w.within ? 'in' : 'out')} />
    <${Stepper} label="The scale shows" value=${text} unit="g" onChange=${set} step=${.1} min=${0} max=${10000} />
    <div aria-live="polite">${w && html`<p class=${w.within ? 'note good' : 'caution'}>${first(w.sentence)}.</p>`}</div>
    <${Wrong} fault=${got?.fault || fault} />
    <button type="button" class="act wide" disabled=${busy || Boolean(got?.fault)} onClick=${mixed}>${jug.done ? 'Mixed again' : 'Mixed'}, made up to ${w ? w.volume : jug.volume.split(' (')[0]}</button>
    <${Notes} list=${jug.notes} /><${Cautions} list=${jug.cautions} />`;
}
