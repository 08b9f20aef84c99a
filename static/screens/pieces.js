// Pieces: what goes into the batch, how many, how heavy.
import { Kind, maxPieces } from '../dist/constants.js';
import { html, capitalize } from '../parts/html.js';
import { useState } from 'preact/hooks';
import { call } from '../core/core.js';
import { record } from '../journal/journal.js';
import { batchView } from '../journal/views.js';
import { style } from '../device/settings.js';
import { useLiveData, useData, useAction } from '../parts/data-hooks.js';
import { Screen } from '../parts/screen.js';
import { Dialog } from '../parts/dialog.js';
import { Stepper } from '../parts/stepper.js';
import { Chips } from '../parts/choice.js';
import { Field, Quantity } from '../parts/field.js';
import { Icon } from '../parts/icons.js';
import { passPrintOrder } from '../parts/screen-handoff.js';
import { ErrorBox, Notes } from '../parts/messages.js';

export function Pieces({ id }) {
  const { value: batch, fault } = useLiveData(() => batchView(id), [id]);
  const { value: offer } = useData(() => call('choices'));
  const [card, open] = useState(/** @type {any} */ (null));
  const [run, wrong, busy] = useAction();
  const scope = `batch/${id}`;
  const scour = batch?.steps.find((s) => s.key === 'scour');
  const scoured = () =>
    run(() =>
      record(
        (batch?.pieces || []).map((p) => ({ scope, subject: p.id, kind: Kind.pieceScoured, body: {} })),
        { undo: 'Finish and softener washed out' },
      ),
    );
  return html`<${Screen} here="batches" back=${{ href: `/batch/${id}`, words: batch?.name || 'Batch' }} title="Pieces" sub=${batch?.weight || 'What goes into this batch? Tap each sort of piece.'} fault=${fault || wrong}
    acts=${batch && batch.pieces.length > 0 && html`<a class="act" href=${`/batch/${id}/colours`}>Choose the colours</a>`}>
    ${batch?.pieces.map(
      (
        p,
      ) => html`<button type="button" class="link-row" key=${p.id} onClick=${() => open({ piece: p, kind: offer?.kinds.find((k) => k.kind === p.kind) })}>
      <span><b class="first">${p.words}</b><span class="sub">${p.weight}</span>${p.notes.map((n) => html`<span class="sub">${capitalize(n)}</span>`)}</span><${Icon} name="on" /></button>`,
    )}
    ${offer && html`<section><h2>Add</h2><div class="picks">${offer.kinds.map((k) => html`<button type="button" class="tile" key=${k.kind} onClick=${() => open({ kind: k })}><span class="first">${k.kind === 'other' ? 'something else' : k.words}</span></button>`)}</div></section>`}
    ${
      batch &&
      batch.pieces.length > 0 &&
      scour &&
      html`<section><h2>Before dyeing</h2>
      ${scour.done ? html`<p class="sub">Finish and softener are washed out.</p>` : html`<p>Wash finish and softener out first: hot, with a little detergent, no softener. What stays in keeps the dye off.</p><button type="button" class="act two wide" disabled=${busy} onClick=${scoured}>It is washed out</button>`}
    </section>`
    }
    <${Dialog} open=${Boolean(card)} onClose=${() => open(null)} title=${card && (card.piece ? capitalize(card.piece.words) : card.kind.kind === 'other' ? 'Something else' : capitalize(card.kind.words))}>
      ${card && html`<${Card} scope=${scope} kind=${card.kind} piece=${card.piece} offer=${offer} done=${() => open(null)} />`}
    </${Dialog}>
  </${Screen}>`;
}

/** Card is one sort of piece: new, or to be changed. */
function Card({ scope, kind, piece, offer, done }) {
  const [count, setCount] = useState(String(piece?.count || 1));
  const [name, setName] = useState(piece?.name || '');
  const [fold, setFold] = useState(piece?.fold || '');
  const [fibre, setFibre] = useState(piece?.fibre || 'cotton');
  const [typed, setTyped] = useState('');
  const [read, setRead] = useState(/** @type {any} */ ({}));
  const [run, fault, busy] = useAction();
  const stand = kind.grams.value;
  const { value: assumed } = useData(() =>
    call('unit.format', { kind: 'mass', value: piece?.grams || stand, style: style.value }),
  );
  const weighed = typed.trim() && !read.fault;
  const other = kind.kind === 'other';
  const save = () =>
    run(async () => {
      /** @type {any} */
      const body = { kind: kind.kind, count: Number(count), fold, fibre, name: name.trim() };
      if (weighed) Object.assign(body, { grams: read.value, assumed: false, typed: { grams: typed.trim() } });
      else if (!piece) Object.assign(body, { grams: stand, assumed: true });
      const drafts = piece
        ? [{ scope, subject: piece.id, kind: Kind.pieceChanged, body }]
        : [{ scope, kind: Kind.pieceAdded, body }];
      await record(drafts, { undo: piece ? 'Pieces changed' : `${count} × ${name.trim() || kind.words} added` });
      done();
    });
  const can = Number(count) >= 1 && (weighed || piece || !other) && (!typed.trim() || read.value);
  return html`<div>
    ${other && html`<${Field} label="What is it" placeholder="cushion cover" value=${name} onInput=${setName} />`}
    <${Stepper} label="How many" value=${count} onChange=${setCount} min=${1} max=${maxPieces} least="one less" most="one more" />
    <${Quantity} label="Dry weight of one" kinds=${['mass']} value=${typed} onInput=${setTyped} onRead=${setRead}
      help=${piece ? `now ${piece.weight}` : stand ? `assumed ${assumed?.text || ''} each; weigh one to be surer` : 'put one on a scale, dry'} placeholder=${assumed?.text || (style.value.system === 'us' ? '5 oz' : '145 g')} />
    <${Chips} label="Fold" value=${fold} onChange=${setFold} options=${offer.folds.map((f) => ({ value: f.fold, words: f.words }))} />
    <details><summary>Fibre: ${offer.fibres.find((f) => f.fibre === fibre)?.words || fibre}</summary>
      <${Chips} label="Fibre" value=${fibre} onChange=${(f) => setFibre(f || 'cotton')} options=${offer.fibres.map((f) => ({ value: f.fibre, words: f.words }))} />
      <${Notes} list=${[offer.fibres.find((f) => f.fibre === fibre)?.means].filter(Boolean)} />
    </details>
    ${piece && html`<a class="link-row" href=${`/${scope}/labels`} onClick=${() => passPrintOrder({ what: 'tags', piece: piece.id, back: location.pathname, words: 'Pieces' })}><span><b>Print tags for it</b><span class="sub">numbered, to stay on in the wash</span></span><${Icon} name="on" /></a>`}
    <${ErrorBox} fault=${fault} />
    <button type="button" class="act wide" disabled=${busy || !can} onClick=${save}>${piece ? 'Save' : `Add ${count} to the batch`}</button>
  </div>`;
}
