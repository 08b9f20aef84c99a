// Pieces: what goes into the batch, how many, and their weight.
import { Kind } from '../dist/constants.js';
import { html, capitalize } from '../parts/html.js';
import { call } from '../core/core.js';
import { record } from '../journal/journal.js';
import { batchView } from '../journal/views.js';
import { useAction, useData, useLiveData, useUnsavedSheet } from '../parts/data-hooks.js';
import { Dialog } from '../parts/dialog.js';
import { LinkRow } from '../parts/link-row.js';
import { ErrorBox } from '../parts/messages.js';
import { PieceForm, unsavedPieceFormKey } from '../parts/piece-form.js';
import { Screen } from '../parts/screen.js';
import { Swatch } from '../parts/swatch.js';

export function Pieces({ id }) {
  const { value: batch, fault } = useLiveData(() => batchView(id), [id]);
  const { value: choices, fault: choicesFault } = useData(() => call('choices'));
  // The sheet that is open, {kind, piece} by their ids; it comes back after a reload.
  const [open, setOpen, close] = useUnsavedSheet(
    `pieces.${id}`,
    unsavedPieceFormKey(`batch/${id}`),
    /** @type {{kind: string, piece?: string} | null} */ (null),
  );
  const pieces = batch?.pieces || [];
  const kind = choices?.kinds.find((k) => k.kind === open?.kind);
  const piece = pieces.find((p) => p.id === open?.piece);
  const card = open && kind && batch && (piece || !open.piece) && { kind, piece };
  return html`<${Screen} activeTab="batches" back=${{ href: `/batch/${id}`, words: batch?.name || 'Batch' }}
    title="Pieces"
    sub=${batch?.weight || 'What goes into this batch? Tap each sort of piece.'} fault=${fault || choicesFault}
    actions=${pieces.length > 0 && html`<a class="button" href=${`/batch/${id}/colours`}>Choose the colours</a>`}>
    ${pieces.map(
      (p) => html`<${PieceRow} key=${p.id} piece=${p}
        onClick=${() => setOpen({ kind: p.kind, piece: p.id })} />`,
    )}
    ${choices && html`<${KindTiles} kinds=${choices.kinds} onPick=${(kind) => setOpen({ kind: kind.kind })} />`}
    ${pieces.length > 0 && html`<${Scouring} batch=${batch} />`}
    <${Dialog} open=${Boolean(card)} onClose=${close}
      title=${card && titleOf(card)}>
      ${
        card &&
        html`<${PieceForm} scope=${`batch/${id}`} kind=${card.kind} piece=${card.piece} choices=${choices}
          colours=${batch?.colours || []}
          done=${close} />`
      }
    </${Dialog}>
  </${Screen}>`;
}

const kindWords = (kind) => (kind.kind === 'other' ? 'something else' : kind.words);
const titleOf = ({ piece, kind }) => capitalize(piece ? piece.words : kindWords(kind));

const PieceRow = ({ piece, onClick }) => html`<${LinkRow} onClick=${onClick}>
  <span><b class="capitalized">${piece.words}</b>
    <span class="sub">${[piece.weight, piece.made !== 'cotton' && piece.made].filter(Boolean).join(' · ')}</span>
    ${
      piece.wears.length > 0 &&
      html`<span class="tag-swatches">${piece.wears.map(
        (c) => html`<${Swatch} key=${c.id} colour=${c} little />`,
      )}</span>`
    }
    ${piece.notes.map((note) => html`<span class="sub" key=${note}>${capitalize(note)}</span>`)}</span>
</${LinkRow}>`;

const KindTiles = ({ kinds, onPick }) =>
  html`<section><h2>Add</h2><div class="options">${kinds.map(
    (k) => html`<button type="button" class="tile" key=${k.kind} onClick=${() => onPick(k)}>
    <span class="capitalized">${kindWords(k)}</span></button>`,
  )}</div></section>`;

/** Scouring says that finish and softener must be washed out, and records that it was done. */
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
          <button type="button" class="button secondary wide" disabled=${busy} onClick=${save}>Washed out</button>`
    }
    <${ErrorBox} fault=${fault} />
  </section>`;
}
