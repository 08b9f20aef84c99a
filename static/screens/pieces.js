// Pieces: what goes into the batch, how many, how heavy.
import { Kind, maxPieces } from '../dist/constants.js';
import { html, capitalize } from '../parts/html.js';
import { useState } from 'preact/hooks';
import { call } from '../core/core.js';
import { style } from '../device/settings.js';
import { record } from '../journal/journal.js';
import { batchView } from '../journal/views.js';
import { Chips } from '../parts/choice.js';
import { useAction, useData, useLiveData } from '../parts/data-hooks.js';
import { Dialog } from '../parts/dialog.js';
import { Field, Quantity } from '../parts/field.js';
import { LinkRow } from '../parts/link-row.js';
import { ErrorBox, Notes } from '../parts/messages.js';
import { passPrintOrder } from '../parts/screen-handoff.js';
import { Screen } from '../parts/screen.js';
import { Stepper } from '../parts/stepper.js';

export function Pieces({ id }) {
  const { value: batch, fault } = useLiveData(() => batchView(id), [id]);
  const { value: choices, fault: choicesFault } = useData(() => call('choices'));
  const [card, setCard] = useState(/** @type {any} */ (null)); // {kind, piece?}
  const pieces = batch?.pieces || [];
  const change = (piece) => setCard({ piece, kind: choices?.kinds.find((k) => k.kind === piece.kind) });
  return html`<${Screen} here="batches" back=${{ href: `/batch/${id}`, words: batch?.name || 'Batch' }} title="Pieces"
    sub=${batch?.weight || 'What goes into this batch? Tap each sort of piece.'} fault=${fault || choicesFault}
    acts=${pieces.length > 0 && html`<a class="act" href=${`/batch/${id}/colours`}>Choose the colours</a>`}>
    ${pieces.map((p) => html`<${PieceRow} key=${p.id} piece=${p} onClick=${() => choices && change(p)} />`)}
    ${choices && html`<${KindTiles} kinds=${choices.kinds} onPick=${(kind) => setCard({ kind })} />`}
    ${pieces.length > 0 && html`<${Scouring} batch=${batch} />`}
    <${Dialog} open=${Boolean(card)} onClose=${() => setCard(null)} title=${card && titleOf(card)}>
      ${
        card &&
        html`<${PieceForm} scope=${`batch/${id}`} kind=${card.kind} piece=${card.piece} choices=${choices}
          done=${() => setCard(null)} />`
      }
    </${Dialog}>
  </${Screen}>`;
}

const kindWords = (kind) => (kind.kind === 'other' ? 'something else' : kind.words);
const titleOf = ({ piece, kind }) => capitalize(piece ? piece.words : kindWords(kind));

const PieceRow = ({ piece, onClick }) => html`<${LinkRow} onClick=${onClick}>
  <span><b class="capitalized">${piece.words}</b><span class="sub">${piece.weight}</span>
    ${piece.notes.map((note) => html`<span class="sub" key=${note}>${capitalize(note)}</span>`)}</span>
</${LinkRow}>`;

const KindTiles = ({ kinds, onPick }) =>
  html`<section><h2>Add</h2><div class="picks">${kinds.map(
    (k) => html`<button type="button" class="tile" key=${k.kind} onClick=${() => onPick(k)}>
    <span class="capitalized">${kindWords(k)}</span></button>`,
  )}</div></section>`;

/** Scouring says that finish and softener must be washed out, and records that they are. */
function Scouring({ batch }) {
  const [run, fault, busy] = useAction();
  const step = batch.steps.find((s) => s.key === 'scour');
  const save = () =>
    run(() =>
      record(
        batch.pieces.map((p) => ({ scope: `batch/${batch.id}`, subject: p.id, kind: Kind.pieceScoured, body: {} })),
        { undo: 'Finish and softener washed out' },
      ),
    );
  if (!step) return null;
  return html`<section><h2>Before dyeing</h2>
    ${
      step.done
        ? html`<p class="sub">Finish and softener are washed out.</p>`
        : html`<p>Wash finish and softener out first: hot, with a little detergent, no softener.
            What stays in keeps the dye off.</p>
          <button type="button" class="act secondary wide" disabled=${busy} onClick=${save}>Washed out</button>`
    }
    <${ErrorBox} fault=${fault} />
  </section>`;
}

/** usePieceForm holds one sort of piece, and gives save, which records it. */
function usePieceForm({ scope, kind, piece, done }) {
  const [count, setCount] = useState(String(piece?.count || 1));
  const [name, setName] = useState(piece?.name || '');
  const [fold, setFold] = useState(piece?.fold || '');
  const [fibre, setFibre] = useState(piece?.fibre || 'cotton');
  const [typed, setTyped] = useState('');
  const [weight, setWeight] = useState(/** @type {any} */ ({})); // as Quantity read it
  const [run, fault, busy] = useAction();
  const isWeighed = typed.trim() && !weight.fault;
  const save = () =>
    run(async () => {
      /** @type {any} */
      const body = { kind: kind.kind, count: Number(count), fold, fibre, name: name.trim() };
      if (isWeighed) Object.assign(body, { grams: weight.value, assumed: false, typed: { grams: typed.trim() } });
      else if (!piece) Object.assign(body, { grams: kind.grams.value, assumed: true });
      const changed = { scope, subject: piece?.id, kind: Kind.pieceChanged, body };
      const undo = piece ? 'Pieces changed' : `${count} × ${name.trim() || kind.words} added`;
      await record([piece ? changed : { scope, kind: Kind.pieceAdded, body }], { undo });
      done();
    });
  const hasWeight = isWeighed || piece || kind.kind !== 'other';
  const canSave = !busy && Number(count) >= 1 && hasWeight && (!typed.trim() || weight.value);
  const fields = { count, setCount, name, setName, fold, setFold, fibre, setFibre, typed, setTyped, setWeight };
  return { ...fields, fault, canSave, save };
}

/** PieceForm is one sort of piece: new, or to be changed. */
function PieceForm({ scope, kind, piece, choices, done }) {
  const form = usePieceForm({ scope, kind, piece, done });
  return html`<div>
    ${
      kind.kind === 'other' &&
      html`<${Field} label="What is it" placeholder="cushion cover" value=${form.name} onInput=${form.setName} />`
    }
    <${Stepper} label="How many" value=${form.count} onChange=${form.setCount} min=${1} max=${maxPieces}
      least="one less" most="one more" />
    <${WeightField} form=${form} kind=${kind} piece=${piece} />
    <${Chips} label="Fold" value=${form.fold} onChange=${form.setFold}
      options=${choices.folds.map((f) => ({ value: f.fold, words: f.words }))} />
    <${FibreChoice} form=${form} fibres=${choices.fibres} />
    ${
      piece &&
      html`<${LinkRow} href=${`/${scope}/labels`} title="Print tags for it" sub="numbered, to stay on in the wash"
        onClick=${() => passPrintOrder({ what: 'tags', piece: piece.id, back: location.pathname, words: 'Pieces' })} />`
    }
    <${ErrorBox} fault=${form.fault} />
    <button type="button" class="act wide" disabled=${!form.canSave} onClick=${form.save}>
      ${piece ? 'Save' : `Add ${form.count} to the batch`}</button>
  </div>`;
}

/** WeightField asks for the dry weight of one piece; without it the kind's usual weight is assumed. */
function WeightField({ form, kind, piece }) {
  const grams = piece?.grams || kind.grams.value;
  const { value: assumed } = useData(() => call('unit.format', { kind: 'mass', value: grams, style: style.value }));
  const example = style.value.system === 'us' ? '5 oz' : '145 g';
  const assumedHelp = `assumed ${assumed?.text || ''} each; weigh one to be certain`;
  const help = piece ? `now ${piece.weight}` : kind.grams.value ? assumedHelp : 'put one on a scale, dry';
  return html`<${Quantity} label="Dry weight of one" kinds=${['mass']} value=${form.typed} onInput=${form.setTyped}
    onRead=${form.setWeight} help=${help} placeholder=${assumed?.text || example} />`;
}

function FibreChoice({ form, fibres }) {
  const chosen = fibres.find((f) => f.fibre === form.fibre);
  return html`<details><summary>Fibre: ${chosen?.words || form.fibre}</summary>
    <${Chips} label="Fibre" value=${form.fibre} onChange=${(fibre) => form.setFibre(fibre || 'cotton')}
      options=${fibres.map((f) => ({ value: f.fibre, words: f.words }))} />
    <${Notes} list=${[chosen?.means].filter(Boolean)} />
  </details>`;
}
