// A form for one line of pieces: new, or to be changed, split or taken out.
import { Kind, maxPieces } from '../dist/constants.js';
import { html, capitalize } from './html.js';
import { useState } from 'preact/hooks';
import { call } from '../core/core.js';
import { style } from '../device/settings.js';
import { record } from '../journal/journal.js';
import { Chips } from './choice.js';
import { useAction, useData, useUnsavedFields } from './data-hooks.js';
import { Field, Quantity } from './field.js';
import { LinkRow } from './link-row.js';
import { ErrorBox } from './messages.js';
import { MadeOf, useMadeOf } from './made-of.js';
import { PiecePhotos } from './photos.js';
import { passPrintOrder } from './screen-handoff.js';
import { Stepper } from './stepper.js';
import { ColourParts, partsOf, useColourParts } from './colour-parts.js';

const depths = [
  { value: 1, words: 'full' },
  { value: 0.5, words: 'half' },
  { value: 0.25, words: 'quarter' },
];

/** unsavedPieceFormKey is the name under which a form about pieces is kept until it is saved. */
export const unsavedPieceFormKey = (scope) => `piece.${scope}`;

/** usePieceForm holds one line of pieces, and returns what records it. */
function usePieceForm({ scope, kind, piece, done }) {
  const [field] = useUnsavedFields(unsavedPieceFormKey(scope));
  const [count, setCount] = field('count', String(piece?.count || 1));
  const [name, setName] = field('name', piece?.name || '');
  const [fold, setFold] = field('fold', piece?.fold || '');
  const [typed, setTyped] = field('weight', '');
  const [weight, setWeight] = useState(/** @type {any} */ ({})); // as Quantity read it
  const [depth, setDepth] = field('depth', piece?.depth || 1);
  const [note, setNote] = field('note', piece?.note || '');
  const [owner, setOwner] = field('owner', piece?.owner || '');
  const [price, setPrice] = field('price', piece?.price ? String(piece.price) : '');
  const [paid, setPaid] = useState(/** @type {any} */ ({})); // as Quantity read it
  const madeOf = useMadeOf(field('madeOf', piece?.made || 'cotton'));
  const wears = useColourParts(field('wears', partsOf(piece?.colours || [])));
  const [run, fault, busy] = useAction();
  const isWeighed = typed.trim() && !weight.fault;
  /** @returns {any} */
  const props = () => {
    const { fibre, share, blend } = madeOf.reading || { fibre: 'cotton', share: 0, blend: [] };
    const cloth = { kind: kind.kind, fold, name: name.trim(), fibre, share, blend };
    const more = { colours: wears.list, depth, note: note.trim(), owner: owner.trim() };
    const body = { ...cloth, ...more, price: price.trim() ? paid.value : 0 };
    if (isWeighed) return { ...body, grams: weight.value, assumed: false, typed: { grams: typed.trim() } };
    return piece ? body : { ...body, grams: kind.grams.value, assumed: true };
  };
  const save = () =>
    run(async () => {
      const body = { ...props(), count: Number(count) };
      const changed = { scope, subject: piece?.id, kind: Kind.pieceChanged, body };
      const undo = piece ? 'Pieces changed' : `${count} × ${name.trim() || kind.words} added`;
      await record([piece ? changed : { scope, kind: Kind.pieceAdded, body }], { undo });
      done();
    });
  const split = (n) =>
    run(async () => {
      const [into] = await call('id.new', { n: 1 });
      const grams = { grams: piece.grams, assumed: piece.weight.includes('assumed') };
      const added = { scope, subject: into, kind: Kind.pieceAdded, body: { ...props(), ...grams, count: n } };
      const taken = { scope, subject: piece.id, kind: Kind.pieceSplit, body: { into, count: n } };
      await record([added, taken], { undo: `${n} made a line of their own` });
      done();
    });
  const remove = () =>
    run(async () => {
      await record([{ scope, subject: piece.id, kind: Kind.pieceRemoved, body: {} }], { undo: 'Removed' });
      done();
    });
  const hasWeight = isWeighed || piece || kind.kind !== 'other';
  const isRead = (!typed.trim() || weight.value) && (!price.trim() || paid.value >= 0) && !madeOf.fault;
  const canSave = !busy && Number(count) >= 1 && hasWeight && isRead;
  const fields = { count, setCount, name, setName, fold, setFold, typed, setTyped, setWeight, depth, setDepth };
  const more = { note, setNote, owner, setOwner, price, setPrice, setPaid, madeOf, wears };
  return { ...fields, ...more, fault, busy, canSave, save, split, remove };
}

/** PieceForm edits one line of pieces, new or existing. */
export function PieceForm({ scope, kind, piece, colours, choices, done }) {
  const form = usePieceForm({ scope, kind, piece, done });
  return html`<div>
    ${
      kind.kind === 'other' &&
      html`<${Field} label="What is it" placeholder="cushion cover" value=${form.name} onInput=${form.setName} />`
    }
    <${Stepper} label="How many" value=${form.count} onChange=${form.setCount} min=${1} max=${maxPieces}
      lessLabel="one less" moreLabel="one more" />
    <${WeightField} form=${form} kind=${kind} piece=${piece} />
    <${Chips} label="Fold" value=${form.fold} onChange=${form.setFold}
      options=${choices.folds.map((f) => ({ value: f.fold, words: f.words }))} />
    <${MadeOf} form=${form.madeOf} />
    ${colours.length > 1 && html`<${ColourParts} form=${form.wears} colours=${colours} />`}
    <${More} form=${form} />
    ${
      piece &&
      html`<${LinkRow} href=${`/${scope}/fold/${piece.id}`}
        title=${piece.design ? `Design: ${piece.design.name}` : 'See it before you dye it'}
        sub="colours on the fold, white inside, mL for each section" />`
    }
    ${
      piece &&
      html`<${PiecePhotos} scope=${scope} piece=${piece} /><${PieceTools} form=${form} piece=${piece}
      scope=${scope} />`
    }
    <${ErrorBox} fault=${form.fault} />
    <button type="button" class="button wide" disabled=${!form.canSave} onClick=${form.save}>
      ${piece ? 'Save' : `Add ${form.count} to the batch`}</button>
  </div>`;
}

/** More has the fields that are seldom filled in: depth, owner, note, price. */
const More = ({ form }) => html`<details open=${Boolean(form.note || form.owner || form.price || form.depth < 1)}>
  <summary>Depth, owner, note, price</summary>
  <${Chips} label="Depth" value=${form.depth} onChange=${(v) => form.setDepth(v || 1)} options=${depths} />
  <${Field} label="For whom" value=${form.owner} onInput=${form.setOwner} />
  <${Field} label="Note" value=${form.note} onInput=${form.setNote} />
  <${Quantity} label="Price of one" kinds=${['number']} value=${form.price} onInput=${form.setPrice}
    onRead=${form.setPaid} inputmode="decimal" placeholder="3.50" help="what you paid for the piece" />
</details>`;

/** PieceTools splits a line, prints its tags, or takes it out. */
function PieceTools({ form, piece, scope }) {
  const [part, setPart] = useState('1');
  const isPart = Number(part) >= 1 && Number(part) < piece.count;
  return html`<div>
    ${
      piece.count > 1 &&
      html`<details><summary>Split into two lines</summary>
        <${Stepper} label="Pieces in the new line" value=${part} onChange=${setPart} min=${1} max=${piece.count - 1} />
        <button type="button" class="button secondary small wide" disabled=${form.busy || !isPart}
          onClick=${() => form.split(Number(part))}>Split off ${part}</button></details>`
    }
    <${LinkRow} href=${`/${scope}/labels`} title="Print tags for it" sub="numbered, to stay on in the wash"
      onClick=${() => passPrintOrder({ what: 'tags', piece: piece.id, back: location.pathname, words: 'Pieces' })} />
    <button type="button" class="text-button" disabled=${form.busy} onClick=${form.remove}>
      ${piece.left < piece.count ? 'Remove those not in a bag' : 'Remove from the batch'}</button>
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
    onRead=${form.setWeight} help=${capitalize(help)} placeholder=${assumed?.text || example} />`;
}
