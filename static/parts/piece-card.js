// The piece that is dyed and bagged next: its fold, its colours with how much of each, who has it; and the others.
import { html, capitalize, keepUnits } from './html.js';
import { FoldPicture } from './fold-picture.js';
import { Cautions } from './messages.js';
import { SqueezeRow } from './squeeze-row.js';
import { Stepper } from './stepper.js';
import { Cloth } from './swatch.js';

/** PieceCard shows what goes into the bag now. */
export function PieceCard({ form }) {
  const { item } = form;
  if (!item) return html`<p class="note">Choose what goes into the bag.</p>`;
  const others = Object.keys(form.pieces).length - 1;
  const taken = item.taken.map((t) => `${t.mine ? 'you have' : `${t.name} has`} ${t.count} since ${t.when}`);
  return html`<section class="piece-card">
    <${FoldPicture} fold=${item.fold} />
    <div><p class="lead capitalized">${form.pieces[item.piece] > 1 && `${form.pieces[item.piece]} × `}${item.words}${
      others > 0 && ` and ${others} more`
    }</p>
      <p class="sub">${[`${item.left} left`, ...taken].join(' · ')}</p></div>
    <ul class="doses">${form.parts.map((part) => html`<${Dose} key=${part.colour} form=${form} part=${part} />`)}</ul>
    ${item.note && html`<p class="note">${capitalize(item.note)}</p>`}
    <${Cautions} list=${item.cautions} />
    ${
      !item.mine &&
      html`<button type="button" class="text-button" onClick=${form.take}>I have it in hand
        <span class="visually-hidden"> shows on every phone</span></button>`
    }
    <${SqueezeRow} words="Dye and bag" />
  </section>`;
}

/** Dose is a colour and how much of it the piece takes, where the plan knows. */
function Dose({ form, part }) {
  const colour = form.colours.find((c) => c.id === part.colour);
  const planned = form.item.colours.find((c) => c.id === part.colour && c.share === part.share);
  if (!colour) return null;
  return html`<li><${Cloth} rgb=${colour.rgb} caps=${colour.caps} />
    <span><b class="capitalized">${colour.name}</b>
      ${planned?.amount && html`<span class="sub">${keepUnits(planned.amount)}</span>`}
      ${planned?.squeezes && html`<b class="sub">${planned.squeezes}</b>`}
      ${planned?.off && html`<span class="sub tone-care">${planned.off}</span>`}</span></li>`;
}

/** PieceChoice is the queue in the order of work: light before dark, those that share colours together. */
export const PieceChoice = ({ form }) => html`<details open=${Object.keys(form.pieces).length === 0}>
  <summary>Another piece, or more in one bag</summary>
  <fieldset class="field"><legend class="label">Queue, light before dark</legend>
    <div class="options one-column">${form.queue.map(
      (q) => html`<span class="option" key=${q.piece}>
        <input type="radio" name="piece" id=${`p${q.piece}`} checked=${q.piece === form.item?.piece}
          onChange=${() => form.setPiece(q.piece)} />
        <label for=${`p${q.piece}`}><span class="capitalized">${q.words}</span>
          <small>${[`${q.left} left`, ...q.taken.map((t) => `${t.count} with ${t.name}`)].join(' · ')}</small>
          <span class="dots">${q.colours.map((c) => html`<${Cloth} key=${c.id} rgb=${c.rgb} caps=${c.caps} />`)}</span>
        </label></span>`,
    )}</div></fieldset>
  <h2 class="place-heading">How many of each in this bag</h2>${form.queue.map(
    (q) => html`<${Stepper} key=${q.piece} label=${`Of ${q.words}`} value=${String(form.pieces[q.piece] || 0)}
      min=${0} lessLabel="one less" moreLabel="one more" onChange=${(n) => form.setCount(q.piece, Number(n) || 0)} />`,
  )}
</details>`;
