// A label was opened: the bag as this phone or the hub knows it, else as it was printed.
import { html, capitalize } from '../parts/html.js';
import { useEffect } from 'preact/hooks';
import { lookUpLabel } from '../scan/look-up.js';
import { navigate } from '../device/router.js';
import { passBlank } from '../parts/screen-handoff.js';
import { useData, useLiveData } from '../parts/data-hooks.js';
import { Screen } from '../parts/screen.js';
import { BagTags, Tag, BagNumber } from '../parts/bag-tag.js';
import { Swatches } from '../parts/swatch.js';
import { DyeFrontWithHours } from '../parts/dye-front.js';
import { Notes } from '../parts/messages.js';

const whence = { hub: 'As the hub has it now', label: 'As printed on the label: this phone does not know the batch' };
const tiedToNone = 'Tied to no bag that this phone knows';
const sort = (found) => (found.tag ? 'Tag' : found.blank ? 'Blank' : 'Bag');

export function ScannedLabel({ code }) {
  const { value: here } = useData(() => lookUpLabel(code, { hub: false }), [code]); // at once; the hub may let us wait
  const { value: known, fault } = useLiveData(() => lookUpLabel(code), [code]);
  const found = known || here;
  useEffect(() => {
    if (found?.from === 'phone') navigate(`/bag/${found.batch}/${found.id}`, { replace: true });
  }, [found?.from]);
  const bag = found?.bag;
  return html`<${Screen} here="scan" back=${{ href: '/scan', words: 'Scan' }} fault=${fault} tone=${bag?.tone} over=${found?.tag ? 'The tag of a piece' : found?.blank ? tiedToNone : whence[found?.from]} name=${bag && `${sort(found)} ${bag.number}`}
    title=${bag ? (found.blank ? `${sort(found)} ${bag.number}` : html`<span class="aside">Bag ${bag.number}: </span>${capitalize(bag.headline)}`) : fault ? 'Not a bag’s code' : 'Bag'}
    acts=${fault && html`<a class="act" href="/scan">Scan again</a>`}>
    ${found?.tag && html`<p class="say">${found.bags ? `${capitalize(found.what)}, in one of these bags.` : found.what ? `${capitalize(found.what)}, in no bag yet.` : `${capitalize(bag.headline)}.`}</p>${found.bags && html`<${BagTags} bags=${found.bags} />`}${found.batch && html`<a class="act two wide" href=${`/batch/${found.batch}`}>To its batch</a>`}`}
    ${found?.blank && !found.tag && html`<p class="say">While you dye and bag, scan it or type its number: then it is that bag’s label.</p>${found.batch ? html`<a class="act wide" href=${`/batch/${found.batch}/bagging`} onClick=${() => passBlank(bag.number)}>Dye and bag with it</a>` : html`<a class="act two wide" href="/batches">To the batches</a>`}`}
    ${
      bag &&
      !found.blank &&
      html`
      <div class="standing">
        ${bag.when && html`<p class="lead">${capitalize(bag.when)}</p>`}
        <p class="sub">${capitalize([bag.safe, bag.if].filter(Boolean).join(', '))}</p>
        ${bag.strip && bag.colours.length > 0 && html`<${DyeFrontWithHours} id=${bag.code || bag.number} strip=${bag.strip} colours=${bag.colours} />`}
      </div>
      <${Tag} big string><div class="line"><${BagNumber} bag=${bag} /><span class="what first">${bag.what}</span><span class="when">${bag.closed}</span></div></${Tag}>
      <section class="close"><${Swatches} colours=${bag.colours} /></section>
      ${bag.asPrinted && html`<p class="note">${capitalize(bag.asPrinted)}</p>`}
      <${Notes} list=${bag.notes} />`
    }
  </${Screen}>`;
}
