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
import { useAction, useLiveData, useUnsaved } from '../parts/data-hooks.js';
import { Quantity } from '../parts/field.js';
import { JugBottles } from '../parts/jug-bottles.js';
import { LinkRow } from '../parts/link-row.js';
import { Cautions, ErrorBox, Notes } from '../parts/messages.js';
import { Keys, decimalSign } from '../parts/number-pad.js';
import { PowderButton, PowderNote } from '../parts/powder.js';
import { ScaleDial } from '../parts/scale-dial.js';
import { passPrintOrder } from '../parts/screen-handoff.js';
import { Screen } from '../parts/screen.js';
import { SqueezeRow } from '../parts/squeeze-row.js';
import { Swatch } from '../parts/swatch.js';
import { WhenPicker, useWhen } from '../parts/when-picker.js';

export function Jugs({ id }) {
  const { value: batch, fault } = useLiveData(() => batchView(id), [id]);
  const [chosen, setChosen] = useState(null); // a colour's id, or null for the next jug to mix
  useScreenOn();
  const jugs = batch?.jugs || [];
  const jug = jugs.find((j) => j.colour.id === chosen) || jugs.find((j) => !j.done);
  const screenProps = { activeTab: 'batches', back: { href: `/batch/${id}`, words: batch?.name || 'Batch' }, fault };
  const pick = (colour) => {
    setChosen(colour);
    scrollTo(0, 0);
  };
  if (jug) {
    return html`<${Weighing} key=${jug.colour.id + jug.id} screenProps=${screenProps} batch=${batch} jug=${jug}
      pick=${pick} />`;
  }
  const next = jugs.length ? ['bagging', 'On to dyeing and bagging'] : ['colours', 'Choose the colours'];
  return html`<${Screen} ...${screenProps} title="Jugs"
    sub=${batch && (jugs.length ? 'All jugs are mixed.' : 'Choose colours first.')}
    actions=${
      batch &&
      html`<a class="button" href=${`/batch/${id}/${next[0]}`}>${next[1]}</a>
        ${batch.powder && html`<${PowderButton} batch=${batch} />`}`
    }>
    ${batch && html`<${PowderNote} batch=${batch} />`}
    <${JugRows} jugs=${jugs} pick=${pick} />
    ${
      jugs.length > 0 &&
      html`<${BottleLabelsRow} batch=${id} words="Print labels for the bottles" /><${SqueezeRow} words="Jugs" />`
    }
  </${Screen}>`;
}

/** BottleLabelsRow leads to the labels of bottles: of one colour, or of all. */
const BottleLabelsRow = ({ batch, colour, words }) => html`<${LinkRow} href=${`/batch/${batch}/labels`} title=${words}
  sub="how strong, when mixed, not a drink"
  onClick=${() => passPrintOrder({ what: 'bottles', colour, back: location.pathname, words: 'Jugs' })} />`;

/** plannedText says what goes into a jug: "14.4 g made up to 240 mL (8 fl oz)". */
const plannedText = ({ powder, volume, volumeToo }) =>
  `${powder} made up to ${volume}${volumeToo ? ` (${volumeToo})` : ''}`;

/** JugRows lists the jugs, each with what is to be mixed or was; now is the one on the screen. */
const JugRows = ({ jugs, now, pick }) =>
  html`<section class="compact">${jugs.map(
    (j) => html`<${LinkRow} key=${j.colour.id} current=${j === now} icon=${j.done ? 'tick' : 'next'}
    onClick=${() => pick(j.colour.id)}>
    <span class="inline-group"><${Swatch} colour=${j.colour} small /><span><b class="capitalized">${j.colour.name}</b>
      <span class="sub">${keepUnits(j.mixed || plannedText(j))}</span>
      ${j.done && html`<span class="sub">${keepUnits([j.left, j.filled].filter(Boolean).join(', '))}</span>`}
      ${j.old && html`<span class="sub tone-care">${j.age}</span>`}
      ${j.off && html`<span class="sub tone-care">${j.off}</span>`}</span></span>
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
  // {grams, advice} or {fault}, with the text that they are of
  const [result, setResult] = useState(/** @type {any} */ ({}));
  useEffect(() => {
    let current = true;
    judgeWeighing(batch, jug, text).then(
      (value) => current && setResult({ ...value, text }),
      (err) => current && setResult({ fault: asFault(err), text }),
    );
    return () => {
      current = false;
    };
  }, [text, jug.powderG]);
  return result;
}

/** Weighing shows one jug: its cap, the scale, what the core advises, and the mixing. */
function Weighing({ screenProps, batch, jug, pick }) {
  const [text, setText] = useUnsaved(`jug.${batch.id}.${jug.colour.id}`, '');
  const { grams, advice, fault: readingFault, text: judged } = useWeighing(batch.id, jug, text);
  const when = useWhen();
  const [run, fault, busy] = useAction();
  const verdict = grams > 0 ? (advice.within ? 'in' : 'out') : '';
  const saveMixed = () =>
    run(async (sure) => {
      const planned = { powder: jug.powderG, ml: jug.volumeML };
      const weighed = { powder: grams, ml: advice?.makeUpTo, typed: { powder: `${text} g` } };
      const body = { colour: jug.colour.id, ...(grams ? weighed : planned) };
      const at = await when.read();
      await record([{ scope: `batch/${batch.id}`, kind: Kind.jugMixed, body, ...(at && { at }) }], {
        undo: `Jug of ${jug.colour.name} mixed`,
        sure,
      });
      setText(undefined);
      pick(null);
    });
  const { powder, volume } = jug;
  const sign = decimalSign();
  const toWeigh = `Jug ${batch.jugs.indexOf(jug) + 1} of ${batch.jugs.length}: weigh ${powder}`;
  return html`<${Screen} ...${screenProps} fault=${screenProps.fault || fault}
    title=${capitalize(jug.colour.name)}
    actions=${html`<button type="button" class="button" disabled=${busy || Boolean(readingFault) || judged !== text}
      onClick=${saveMixed}>
      ${jug.done ? 'Mixed again' : 'Mixed'}, made up to ${keepUnits(grams ? advice.volume : volume)}</button>
      <${PowderButton} batch=${batch} />`}>
    <div class="weighing">
      <${BottleCap} rgb=${jug.colour.rgb} caps=${jug.colour.caps} grams=${jug.mixedPowder || powder}
        volume=${jug.off || jug.mixedVolume || volume} />
      <div><${ScaleDial} target=${jug.powderG} low=${advice?.low} high=${advice?.high} reading=${grams}
        targetText=${powder} readingText="" verdict=${verdict} />
        <label class="reading"><span>The scale shows</span>
          <input inputmode="none" autocomplete="off" aria-label="The scale shows" value=${text} placeholder="0"
            onInput=${(e) => setText(e.target.value)} /><span class="unit">g</span></label></div>
    </div>
    <div class="verdict-line" aria-live="polite">${
      grams > 0
        ? html`<p class=${verdict === 'in' ? 'note good' : 'caution'}>${capitalize(advice.sentence)}.</p>`
        : html`<p class="sub">${jug.done ? capitalize(jug.mixed) : keepUnits(toWeigh)}${
            jug.off && html`: <b class="tone-care">${jug.off}</b>`
          }</p>`
    }</div>
    <${Keys} label="Grams on the scale" value=${text} onInput=${setText} sign=${sign} />
    <${PowderNote} batch=${batch} /><${ErrorBox} fault=${readingFault} />
    <p class="sub fine-print">${capitalize(jug.scaleNote)}.</p>
    <${WhenPicker} of=${when} />
    ${jug.done && html`<${JugBottles} batch=${batch.id} jug=${jug} /><${TopUp} batch=${batch} jug=${jug} />`}
    <${Notes} list=${jug.notes} /><${Cautions} list=${jug.cautions} />
    <${BottleLabelsRow} batch=${batch.id} colour=${jug.colour.id} words="Print a label for the bottle" />
    <${SqueezeRow} words="Jugs" />
    ${
      batch.jugs.length > 1 &&
      html`<section><h2>All jugs</h2><${JugRows} jugs=${batch.jugs} now=${jug} pick=${pick} /></section>`
    }
  </${Screen}>`;
}

/** TopUp records what was added to a jug that is mixed: powder, water or both. */
function TopUp({ batch, jug }) {
  const [powder, setPowder] = useUnsaved(`jug.${jug.id}.powder`, '');
  const [water, setWater] = useUnsaved(`jug.${jug.id}.water`, '');
  const [readPowder, setReadPowder] = useState(/** @type {any} */ ({})); // as Quantity read it
  const [readWater, setReadWater] = useState(/** @type {any} */ ({}));
  const when = useWhen();
  const [run, fault, busy] = useAction();
  const save = () =>
    run(async (sure) => {
      const body = {
        powder: readPowder.value || 0,
        ml: readWater.value || 0,
        typed: { powder: powder.trim(), ml: water.trim() },
      };
      const at = await when.read();
      await record([{ scope: `batch/${batch.id}`, subject: jug.id, kind: Kind.jugTopped, body, ...(at && { at }) }], {
        undo: `Jug of ${jug.colour.name} topped up`,
        sure,
      });
      when.reset();
      setPowder(undefined);
      setWater(undefined);
    });
  return html`<details open=${powder !== '' || water !== ''}><summary>Top it up</summary>
    <${Quantity} label="Powder added" kinds=${['mass']} value=${powder} onInput=${setPowder} onRead=${setReadPowder}
      placeholder="1.5 g" />
    <${Quantity} label="Water added" kinds=${['volume']} value=${water} onInput=${setWater} onRead=${setReadWater}
      placeholder="50 mL" />
    <${WhenPicker} of=${when} /><${ErrorBox} fault=${fault} />
    <button type="button" class="button secondary wide" onClick=${save}
      disabled=${busy || !(readPowder.value || readWater.value) || readPowder.fault || readWater.fault}>
      Added</button></details>`;
}
