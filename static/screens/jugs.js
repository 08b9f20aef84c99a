// Jugs: the powder for each colour, weighed against its tolerance, made up to its volume.
import { Kind } from '../dist/constants.js';
import { html, capitalize, keepUnits } from '../parts/html.js';
import { useState, useEffect } from 'preact/hooks';
import { call } from '../core/core.js';
import { asFault } from '../core/fault.js';
import { useScreenOn } from '../device/wake-lock.js';
import { coreEnv } from '../journal/env.js';
import { record } from '../journal/journal.js';
import { loadState } from '../journal/states.js';
import { batchView } from '../journal/views.js';
import { BottleCap } from '../parts/bottle-cap.js';
import { useAction, useLiveData } from '../parts/data-hooks.js';
import { LinkRow } from '../parts/link-row.js';
import { Cautions, ErrorBox, Notes } from '../parts/messages.js';
import { ScaleDial } from '../parts/scale-dial.js';
import { passPrintOrder } from '../parts/screen-handoff.js';
import { Screen } from '../parts/screen.js';
import { Stepper } from '../parts/stepper.js';
import { Swatch } from '../parts/swatch.js';

export function Jugs({ id }) {
  const { value: batch, fault } = useLiveData(() => batchView(id), [id]);
  const [chosenColourId, setChosenColourId] = useState(null); // a colour's id, or null for the next jug to mix
  useScreenOn();
  const jugs = batch?.jugs || [];
  const jug = jugs.find((j) => j.colour.id === chosenColourId) || jugs.find((j) => !j.done);
  const screenProps = { activeTab: 'batches', back: { href: `/batch/${id}`, words: batch?.name || 'Batch' }, fault };
  const pick = (colour) => {
    setChosenColourId(colour);
    scrollTo(0, 0);
  };
  if (jug) {
    return html`<${Weighing} key=${jug.colour.id + jug.id} screenProps=${screenProps} batch=${batch} jug=${jug}
      onPick=${pick} />`;
  }
  const next = jugs.length ? ['bagging', 'On to dyeing and bagging'] : ['colours', 'Choose the colours'];
  return html`<${Screen} ...${screenProps} title="Jugs"
    sub=${batch && (jugs.length ? 'All jugs are mixed.' : 'Choose colours first.')}
    actions=${batch && html`<a class="button" href=${`/batch/${id}/${next[0]}`}>${next[1]}</a>`}>
    <${JugRows} jugs=${jugs} onPick=${pick} />
    ${jugs.length > 0 && html`<${BottleLabelsRow} batch=${id} words="Print labels for the bottles" />`}
  </${Screen}>`;
}

/** BottleLabelsRow links to the labels of bottles, of one colour or of all. */
const BottleLabelsRow = ({ batch, colour, words }) => html`<${LinkRow} href=${`/batch/${batch}/labels`} title=${words}
  sub="how strong, when mixed, not a drink"
  onClick=${() => passPrintOrder({ what: 'bottles', colour, back: location.pathname, words: 'Jugs' })} />`;

/** plannedText says what goes into a jug: "14.4 g made up to 240 mL (8 fl oz)". */
const plannedText = ({ powder, volume, volumeToo }) =>
  `${powder} made up to ${volume}${volumeToo ? ` (${volumeToo})` : ''}`;

/** JugRows lists the jugs, each with what to mix or what was mixed; current is the one on the screen. */
const JugRows = ({ jugs, current, onPick }) =>
  html`<section class="compact">${jugs.map(
    (j) => html`<${LinkRow} key=${j.colour.id} current=${j === current} icon=${j.done ? 'tick' : 'next'}
    onClick=${() => onPick(j.colour.id)}>
    <span class="inline-group"><${Swatch} colour=${j.colour} small /><span><b class="capitalized">${j.colour.name}</b>
      <span class="sub">${keepUnits(j.mixed || plannedText(j))}</span></span></span>
  </${LinkRow}>`,
  )}</section>`;

/** judgeWeighing asks the core what a reading in grams means for a jug; an empty text is no reading. */
async function judgeWeighing(batch, jug, text) {
  const reading = text.trim() ? (await call('unit.parse', { kind: 'mass', typed: `${text} g` })).value : 0;
  const [state, env] = [await loadState(`batch/${batch}`), await coreEnv()];
  const advice = await call('weighing.advise', { state, env, colour: jug.colour.id, grams: reading || jug.powderG });
  return { grams: reading, advice };
}

function useWeighing(batch, jug, text) {
  const [result, setResult] = useState(/** @type {any} */ ({})); // {grams, advice} or {fault}
  useEffect(() => {
    let isCurrent = true;
    judgeWeighing(batch, jug, text).then(
      (value) => isCurrent && setResult(value),
      (err) => isCurrent && setResult({ fault: asFault(err) }),
    );
    return () => {
      isCurrent = false;
    };
  }, [text, jug.powderG]);
  return result;
}

/** Weighing is one jug: its cap, the scale, what the core advises, and the mixing. */
function Weighing({ screenProps, batch, jug, onPick }) {
  const [text, setText] = useState('');
  const { grams, advice, fault: readingFault } = useWeighing(batch.id, jug, text);
  const [run, fault, busy] = useAction();
  const verdict = grams > 0 ? (advice.within ? 'in' : 'out') : '';
  const saveMixed = () =>
    run(async () => {
      const planned = { powder: jug.powderG, ml: jug.volumeML };
      const weighed = { powder: grams, ml: advice?.makeUpTo, typed: { powder: `${text} g` } };
      const body = { colour: jug.colour.id, ...(grams ? weighed : planned) };
      await record([{ scope: `batch/${batch.id}`, kind: Kind.jugMixed, body }], {
        undo: `Jug of ${jug.colour.name} mixed`,
      });
      onPick(null);
    });
  const { powder, volume } = jug;
  return html`<${Screen} ...${screenProps} fault=${screenProps.fault || fault} title=${capitalize(jug.colour.name)}
    overline=${`Jug ${batch.jugs.indexOf(jug) + 1} of ${batch.jugs.length}`}
    actions=${html`<button type="button" class="button" disabled=${busy || Boolean(readingFault)} onClick=${saveMixed}>
      ${jug.done ? 'Mixed again' : 'Mixed'}, made up to ${grams ? advice.volume : volume}</button>`}>
    <${BottleCap} rgb=${jug.colour.rgb} caps=${jug.colour.caps} grams=${powder} volume=${volume} />
    <p class="body-text centre">${capitalize(jug.done ? jug.mixed : jug.scaleNote)}.</p>
    <${ScaleDial} target=${jug.powderG} low=${advice?.low} high=${advice?.high} reading=${grams}
      targetText=${powder} readingText=${`${text} g`} verdict=${verdict} />
    <${Stepper} label="The scale shows" value=${text} unit="g" onChange=${setText} step=${0.1} min=${0} max=${10000}
      start=${jug.powderG} />
    <div aria-live="polite">${
      grams > 0 && html`<p class=${verdict === 'in' ? 'note good' : 'caution'}>${capitalize(advice.sentence)}.</p>`
    }</div>
    <${ErrorBox} fault=${readingFault} />
    <${Notes} list=${jug.notes} /><${Cautions} list=${jug.cautions} />
    <${BottleLabelsRow} batch=${batch.id} colour=${jug.colour.id} words="Print a label for the bottle" />
    ${
      batch.jugs.length > 1 &&
      html`<section><h2>All jugs</h2><${JugRows} jugs=${batch.jugs} current=${jug} onPick=${onPick} /></section>`
    }
  </${Screen}>`;
}
