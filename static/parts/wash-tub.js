// A tub of a wash day: what is in it, and one large button for the next thing to do.
import { Kind } from '../dist/constants.js';
import { html, capitalize, classes, keepUnits } from './html.js';
import { record } from '../journal/journal.js';
import { Icon } from './icons.js';
import { Swatch } from './swatch.js';
import { useAction } from './data-hooks.js';
import { ErrorBox } from './messages.js';
import { ragResults } from './rinse-steps.js';
import { WhenPicker, useWhen } from './when-picker.js';

/** Dots are colours as small pieces of cloth. */
export const Dots = ({ colours }) =>
  html`<span class="dots">${colours.map((c) => html`<${Swatch} key=${c.id} colour=${c} little />`)}</span>`;

/** WashBags lists bags by their number, what is in them, and their colours. */
export const WashBags = ({ bags }) =>
  html`<ul class="tub-bags">${bags.map(
    (b) => html`<li key=${b.id}><a href=${`/bag/${b.batch}/${b.id}`}><b>${b.number}</b>
    <span class="capitalized">${b.what}</span>
    <${Dots} colours=${b.colours} /></a></li>`,
  )}</ul>`;

/** namesOf names bags by their numbers. */
export const namesOf = (bags) => `${bags.length === 1 ? 'Bag' : 'Bags'} ${bags.map((b) => b.number).join(', ')}`;

/** bagDrafts drafts the same fact for every bag of a tub. */
const bagDrafts = (tub, kind, body) => tub.bags.map((b) => ({ scope: `batch/${b.batch}`, subject: b.id, kind, body }));

/** bathDrafts drafts one bath for the bags of a tub, batch by batch. */
function bathDrafts(tub, isHot) {
  const batches = [...new Set(tub.bags.map((b) => b.batch))];
  return batches.map((batch, i) => ({
    scope: `batch/${batch}`,
    subject: batch,
    kind: Kind.rinseDone,
    body: {
      bags: tub.bags.filter((b) => b.batch === batch).map((b) => b.id),
      tub: tub.key,
      water: i === 0 ? tub.bathML : 0,
      ...(isHot && { celsius: 60, soap: true }),
    },
  }));
}

/** Tub shows one tub; number is its place in the order. */
export function Tub({ tub, number }) {
  const [run, fault, busy] = useAction();
  const when = useWhen();
  const save = (drafts, undo) =>
    run(async (sure) => {
      const at = await when.read();
      await record(at ? drafts.map((d) => ({ ...d, at })) : drafts, { undo, sure });
      when.reset();
    });
  const names = namesOf(tub.bags);
  const bath = (isHot) => save(bathDrafts(tub, isHot), `Tub ${number}: ${isHot ? 'hot' : 'cold'} bath done`);
  const saveRagTest = ({ value, words }) =>
    save(bagDrafts(tub, Kind.ragTested, { showed: value, celsius: 60 }), `Rag: ${words}`);
  const actionButton = (words, work) =>
    html`<button type="button" class="button wide" disabled=${busy} aria-label=${`${words}: tub ${number}`}
      onClick=${work}>${words}</button>`;
  return html`<section class="tub"><h2>Tub ${number} · ${tub.title}</h2>
    <p class="sub">${keepUnits(
      `${tub.weight}, baths of ${tub.bath}: ${tub.coldBaths} cold, then ${tub.hotBaths} hot`,
    )}</p>
    <${WashBags} bags=${tub.bags} />
    ${tub.next !== 'open' && html`<${BathCount} tub=${tub} />`}
    <p class="tub-next">${capitalize(tub.text)}</p>
    ${
      tub.next === 'open' &&
      actionButton('Open and rinse', () => save(bagDrafts(tub, Kind.bagOpened, {}), `${names} opened`))
    }
    ${tub.next === 'cold' && actionButton('Cold bath done', () => bath(false))}
    ${tub.next === 'hot' && actionButton('Hot bath done', () => bath(true))}
    ${
      tub.next === 'rag' &&
      html`<div class="row" role="group" aria-label="The rag">${ragResults.map(
        (r) => html`<button type="button" class="button secondary" key=${r.value} disabled=${busy}
          onClick=${() => saveRagTest(r)}>${capitalize(r.words)}</button>`,
      )}</div>`
    }
    ${
      tub.next === 'clear' &&
      actionButton('Move to the machine', () =>
        save(
          bagDrafts(tub, Kind.bagRinsed, { baths: tub.coldBathsDone + tub.hotBathsDone, clear: true }),
          `${names} rinsed`,
        ),
      )
    }
    <${WhenPicker} of=${when} label=${`Tub ${number}, when`} /><${ErrorBox} fault=${fault} />
  </section>`;
}

/** BathCount draws a mark for every bath, ticked once it is counted. */
function BathCount({ tub }) {
  const marks = (kind, done, all) =>
    Array.from({ length: Math.max(done, all) }, (_, i) => ({ kind, isDone: i < done, key: kind + i }));
  const all = [...marks('cold', tub.coldBathsDone, tub.coldBaths), ...marks('hot', tub.hotBathsDone, tub.hotBaths)];
  return html`<p class="visually-hidden">
      ${tub.coldBathsDone} of ${tub.coldBaths} cold and ${tub.hotBathsDone} of ${tub.hotBaths} hot baths done</p>
    <ol class="baths" aria-hidden="true">${all.map(
      (m) =>
        html`<li key=${m.key} class=${classes(m.kind, m.isDone && 'done')}>
        ${m.isDone && html`<${Icon} name="tick" />`}</li>`,
    )}</ol>`;
}
