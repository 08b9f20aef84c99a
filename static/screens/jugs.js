// Jugs: the powder for each colour, weighed against its band, made up to its volume.
import { Kind } from '../dist/constants.js';
import { html, capitalize, keepUnits } from '../parts/html.js';
import { useState, useEffect } from 'preact/hooks';
import { useScreenOn } from '../device/wake-lock.js';
import { call } from '../core/core.js';
import { coreEnv } from '../journal/env.js';
import { asFault } from '../core/fault.js';
import { record } from '../journal/journal.js';
import { loadState } from '../journal/states.js';
import { batchView } from '../journal/views.js';
import { useLiveData, useAction } from '../parts/data-hooks.js';
import { Screen } from '../parts/screen.js';
import { BottleCap } from '../parts/bottle-cap.js';
import { ScaleDial } from '../parts/scale-dial.js';
import { Stepper } from '../parts/stepper.js';
import { Swatch } from '../parts/swatch.js';
import { Icon } from '../parts/icons.js';
import { passPrintOrder } from '../parts/screen-handoff.js';
import { ErrorBox, Notes, Cautions } from '../parts/messages.js';

export function Jugs({ id }) {
  const { value: batch, fault } = useLiveData(() => batchView(id), [id]);
  const [chosen, choose] = useState(null);
  useScreenOn();
  const jugs = batch?.jugs || [];
  const jug = jugs.find((j) => j.colour.id === chosen) || jugs.find((j) => !j.done);
  const frame = { here: 'batches', back: { href: `/batch/${id}`, words: batch?.name || 'Batch' }, fault };
  const pick = (colour) => {
    choose(colour);
    scrollTo(0, 0);
  };
  if (jug)
    return html`<${Weighing} key=${jug.colour.id + jug.id} frame=${frame} batch=${batch} jug=${jug} pick=${pick} />`;
  return html`<${Screen} ...${frame} title="Jugs" sub=${batch && (jugs.length ? 'All jugs are mixed.' : 'No colour is chosen yet.')}
    acts=${batch && html`<a class="act" href=${`/batch/${id}/${jugs.length ? 'bagging' : 'colours'}`}>${jugs.length ? 'On to dyeing and bagging' : 'Choose the colours'}</a>`}>
    <${All} jugs=${jugs} pick=${pick} />
    ${jugs.length > 0 && html`<${ToPrint} batch=${id} words="Print labels for the bottles" />`}
  </${Screen}>`;
}

/** ToPrint leads to the labels of bottles: of one colour, or of all. */
const ToPrint = ({ batch, colour, words }) =>
  html`<a class="link-row" href=${`/batch/${batch}/labels`} onClick=${() => passPrintOrder({ what: 'bottles', colour, back: location.pathname, words: 'Jugs' })}><span><b>${words}</b><span class="sub">how strong, when mixed, not a drink</span></span><${Icon} name="on" /></a>`;

/** All lists the jugs, each with what is to be mixed or was. */
const All = ({ jugs, now, pick }) =>
  html`<section class="close">${jugs.map(
    (
      j,
    ) => html`<button type="button" class="link-row" key=${j.colour.id} aria-current=${j === now ? 'true' : undefined} onClick=${() => pick(j.colour.id)}>
  <span class="tail"><${Swatch} colour=${j.colour} little /><span><b class="first">${j.colour.name}</b><span class="sub">${keepUnits(j.mixed || `${j.powder} made up to ${j.volume}${j.volumeToo ? ` (${j.volumeToo})` : ''}`)}</span></span></span><${Icon} name=${j.done ? 'tick' : 'on'} /></button>`,
  )}</section>`;

/** useWeighing asks the core what a reading in grams means for a jug. */
function useWeighing(batch, jug, text) {
  const [got, set] = useState(/** @type {any} */ ({}));
  useEffect(() => {
    let here = true;
    const ask = async () => {
      const grams = text.trim() ? (await call('unit.parse', { kind: 'mass', typed: `${text} g` })).value : jug.powderG;
      return {
        grams: text.trim() ? grams : 0,
        told: await call('weighing.advise', {
          state: await loadState(`batch/${batch}`),
          env: await coreEnv(),
          colour: jug.colour.id,
          grams,
        }),
      };
    };
    ask().then(
      (value) => here && set(value),
      (err) => here && set({ fault: asFault(err) }),
    );
    return () => {
      here = false;
    };
  }, [text, jug.powderG]);
  return got;
}

/** Weighing is one jug: its cap, the scale, what the core advises, and the mixing. */
function Weighing({ frame, batch, jug, pick }) {
  const [text, set] = useState('');
  const { grams, told: w, fault: unread } = useWeighing(batch.id, jug, text);
  const [run, fault, busy] = useAction();
  const verdict = grams > 0 ? (w.within ? 'in' : 'out') : '';
  const mixed = () =>
    run(async () => {
      const body = {
        colour: jug.colour.id,
        powder: grams || jug.powderG,
        ml: grams ? w.makeUpTo : jug.volumeML,
        ...(grams && { typed: { powder: `${text} g` } }),
      };
      await record([{ scope: `batch/${batch.id}`, kind: Kind.jugMixed, body }], {
        undo: `Jug of ${jug.colour.name} mixed`,
      });
      pick(null);
    });
  const { powder, volume } = jug;
  return html`<${Screen} ...${frame} fault=${frame.fault || fault} over=${`Jug ${batch.jugs.indexOf(jug) + 1} of ${batch.jugs.length}`} title=${capitalize(jug.colour.name)}
    acts=${html`<button type="button" class="act" disabled=${busy || Boolean(unread)} onClick=${mixed}>${jug.done ? 'Mixed again' : 'Mixed'}, made up to ${grams ? w.volume : volume}</button>`}>
    <${BottleCap} rgb=${jug.colour.rgb} caps=${jug.colour.caps} grams=${powder} volume=${volume} />
    <p class="say centre">${jug.done ? `${capitalize(jug.mixed)}.` : `${capitalize(jug.scaleNote)}.`}</p>
    <${ScaleDial} target=${jug.powderG} low=${w?.low} high=${w?.high} reading=${grams} targetText=${powder} readingText=${`${text} g`} verdict=${verdict} />
    <${Stepper} label="The scale shows" value=${text} unit="g" onChange=${set} step=${0.1} min=${0} max=${10000} start=${jug.powderG} />
    <div aria-live="polite">${grams > 0 && html`<p class=${verdict === 'in' ? 'note good' : 'caution'}>${capitalize(w.sentence)}.</p>`}</div>
    <${ErrorBox} fault=${unread} />
    <${Notes} list=${jug.notes} /><${Cautions} list=${jug.cautions} />
    <${ToPrint} batch=${batch.id} colour=${jug.colour.id} words="Print a label for the bottle" />
    ${batch.jugs.length > 1 && html`<section><h2>All jugs</h2><${All} jugs=${batch.jugs} now=${jug} pick=${pick} /></section>`}
  </${Screen}>`;
}
