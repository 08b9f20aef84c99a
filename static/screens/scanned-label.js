// A label was opened: the bag as this phone or the hub knows it, else as it was printed.
import { html, first } from '../parts/html.js';
import { useEffect } from 'preact/hooks';
import { lookUp } from '../scan/look-up.js';
import { go } from '../device/router.js';
import { handBlank } from '../parts/screen-handoff.js';
import { useAsk, useLive } from '../parts/data-hooks.js';
import { Screen } from '../parts/screen.js';
import { BagTags, Tag, Number as No } from '../parts/bag-tag.js';
import { Swatches } from '../parts/swatch.js';
import { LongFront } from '../parts/dye-front.js';
import { Notes } from '../parts/messages.js';

const whence = { hub: 'As the hub has it now', label: 'As printed on the label: this phone does not know the batch' };
const tiedToNone = 'Tied to no bag that this phone knows';
const sort = (found) => (found.tag ? 'Tag' : found.blank ? 'Blank' : 'Bag');

export function Label({ code }) {
  const { value: here } = useAsk(() => lookUp(code, { hub: false }), [code]); // at once; the hub may let us wait
  const { value: known, fault } = useLive(() => lookUp(code), [code]);
  const found = known || here;
  useEffect(() => {
    if (found?.from === 'phone') go(`/bag/${found.batch}/${found.id}`, { replace: true });
  }, [found?.from]);
  const bag = found?.bag;
  return html`<${Screen} here="scan" back=${{ href: '/scan', words: 'Scan' }} fault=${fault} tone=${bag?.tone} over=${found?.tag ? 'The tag of a piece' : found?.blank ? tiedToNone : whence[found?.from]} name=${bag && `${sort(found)} ${bag.number}`}
    title=${bag ? (found.blank ? `${sort(found)} ${bag.number}` : html`<span class="aside">Bag ${bag.number}: </span>${first(bag.headline)}`) : fault ? 'Not a bag’s code' : 'Bag'}
    acts=${fault && html`<a class="act" href="/scan">Scan again</a>`}>
    ${found?.tag && html`<p class="say">${found.bags ? `${first(found.what)}, in one of these bags.` : found.what ? `${first(found.what)}, in no bag yet.` : `${first(bag.headline)}.`}</p>${found.bags && html`<${BagTags} bags=${found.bags} />`}${found.batch && html`<a class="act two wide" href=${`/batch/${found.batch}`}>To its batch</a>`}`}
    ${found?.blank && !found.tag && html`<p class="say">While you dye and bag, scan it or type its number: then it is that bag’s label.</p>${found.batch ? html`<a class="act wide" href=${`/batch/${found.batch}/bagging`} onClick=${() => handBlank(bag.number)}>Dye and bag with it</a>` : html`<a class="act two wide" href="/batches">To the batches</a>`}`}
    ${
      bag &&
      !found.blank &&
      html`
      <div class="standing">
        ${bag.when && html`<p class="lead">${first(bag.when)}</p>`}
        <p class="sub">${first([bag.safe, bag.if].filter(Boolean).join(', '))}</p>
        ${bag.strip && bag.colours.length > 0 && html`<${LongFront} id=${bag.code || bag.number} strip=${bag.strip} colours=${bag.colours} />`}
      </div>
      <${Tag} big string><div class="line"><${No} text=${bag.number} /><span class="what first">${bag.what}</span><span class="when">${bag.closed}</span></div></${Tag}>
      <section class="close"><${Swatches} colours=${bag.colours} /></section>
      ${bag.asPrinted && html`<p class="note">${first(bag.asPrinted)}</p>`}
      <${Notes} list=${bag.notes} />`
    }
  </${Screen}>`;
}
