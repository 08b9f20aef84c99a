// Repeats a batch as it was actually dyed: how many of each piece, what differs, and one tap to start.
import { html, capitalize, keepUnits } from '../parts/html.js';
import { useState } from 'preact/hooks';
import { maxPieces } from '../dist/constants.js';
import { call } from '../core/core.js';
import { navigate } from '../device/router.js';
import { record } from '../journal/journal.js';
import { batchView, repeatDrafts } from '../journal/views.js';
import { useAction, useData, useLiveData } from '../parts/data-hooks.js';
import { Quantity } from '../parts/field.js';
import { Notes } from '../parts/messages.js';
import { Screen } from '../parts/screen.js';
import { Stepper } from '../parts/stepper.js';

const mostIds = 1000; // that the core makes at once

export function Again({ id }) {
  const { value: batch, fault: batchFault } = useLiveData(() => batchView(id), [id]);
  const [counts, setCounts] = useState(/** @type {Record<string, string>} */ ({}));
  const [weights, setWeights] = useState(/** @type {Record<string, number>} */ ({})); // g of one, where it was typed
  const need = batch && 2 + batch.pieces.length + batch.colours.length;
  const { value: ids, fault: idsFault } = useData(
    () => (need ? call('id.new', { n: Math.min(mostIds, need) }) : undefined),
    [need],
  );
  const pieces = batch?.pieces.map((p) => ({
    piece: p.id,
    count: Number(counts[p.id] ?? p.count) || 0,
    ...(weights[p.id] && { grams: weights[p.id] }),
  }));
  const some = pieces?.some((p) => p.count > 0);
  const order = JSON.stringify(pieces);
  const { value: again, fault } = useLiveData(
    async () => (ids && some ? { ...(await repeatDrafts(id, pieces, ids)), order } : undefined),
    [ids, order],
  );
  const isCurrent = again?.order === order; // while a number is being typed, the drafts belong to the previous number
  const [run, startFault, busy] = useAction();
  const start = () =>
    run(async () => {
      const drafts = /** @type {any[]} */ (again?.drafts || []);
      await record(drafts, { undo: 'Batch started' });
      navigate(`/batch/${drafts[0].subject}`);
    });
  const actions = html`<button type="button" class="button" disabled=${busy || !isCurrent || !some} onClick=${start}>
    Start the batch</button>`;
  return html`<${Screen} activeTab="batches" back=${{ href: `/batch/${id}`, words: batch?.name || 'Batch' }}
    title="Repeat batch" sub=${again && capitalize(`${scaleWords(again)} cloth as then, by dry weight`)}
    fault=${batchFault || idsFault || fault || startFault} actions=${actions}>
    ${batch?.pieces.map(
      (p) => html`<${Stepper} key=${p.id} label=${capitalize(p.one)} value=${counts[p.id] ?? String(p.count)}
        max=${maxPieces} onChange=${(n) => setCounts({ ...counts, [p.id]: n })} />`,
    )}
    ${
      batch &&
      html`<details><summary>They have a different weight now</summary>
        ${batch.pieces.map(
          (p) => html`<${Weight} key=${p.id} piece=${p}
            set=${(grams) => setWeights((had) => ({ ...had, [p.id]: grams }))} />`,
        )}</details>`
    }
    ${
      again &&
      html`<section><h2>How it was done</h2><${Lines} list=${again.done} /></section>
        ${again.differs.length > 0 && html`<section><h2>What differs</h2><${Lines} list=${again.differs} /></section>`}
        <${Notes} list=${again.advice} />`
    }
  </${Screen}>`;
}

/** scaleWords says how much cloth it is: "2 times as much". */
const scaleWords = ({ scale }) => (scale === 1 ? 'as much' : `${scale} times as much`);

/** Weight asks what one piece weighs dry now. */
function Weight({ piece, set }) {
  const [typed, setTyped] = useState('');
  return html`<${Quantity} label=${`One ${piece.one}, dry`} kinds=${['mass']} value=${typed} onInput=${setTyped}
    onRead=${(read) => set(read.value || 0)} help=${`then ${piece.weight}`} />`;
}

const Lines = ({ list }) =>
  html`<ul class="rows">${list.map((line) => html`<li key=${line}>${capitalize(keepUnits(line))}</li>`)}</ul>`;
