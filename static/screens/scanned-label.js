// A label was opened: the bag as this phone or the hub knows it, else as it was printed.
import { html, capitalize } from '../parts/html.js';
import { useEffect } from 'preact/hooks';
import { navigate } from '../device/router.js';
import { lookUpLabel } from '../scan/look-up.js';
import { BagNumber, BagTags, Tag } from '../parts/bag-tag.js';
import { useData, useLiveData } from '../parts/data-hooks.js';
import { DyeFrontWithHours } from '../parts/dye-front.js';
import { Notes } from '../parts/messages.js';
import { passBlank } from '../parts/screen-handoff.js';
import { Screen } from '../parts/screen.js';
import { Swatches } from '../parts/swatch.js';

export function ScannedLabel({ code }) {
  const { value: here, fault: hereFault } = useData(() => lookUpLabel(code, { hub: false }), [code]); // at once
  const { value: known, fault } = useLiveData(() => lookUpLabel(code), [code]); // the hub may take a while
  const found = known || here;
  useEffect(() => {
    if (found?.from === 'phone') navigate(`/bag/${found.batch}/${found.id}`, { replace: true });
  }, [found?.from]);
  const frame = { here: 'scan', back: { href: '/scan', words: 'Scan' }, fault: fault || (!found && hereFault) };
  if (!found) {
    const again = frame.fault && html`<a class="act" href="/scan">Scan again</a>`;
    return html`<${Screen} ...${frame} title=${frame.fault ? 'Not a bag’s code' : 'Bag'} acts=${again} />`;
  }
  if (found.tag) return html`<${PieceTag} frame=${frame} found=${found} />`;
  if (found.blank) return html`<${BlankLabel} frame=${frame} found=${found} />`;
  return html`<${LabelledBag} frame=${frame} bag=${found.bag} from=${found.from} />`;
}

/** PieceTag is the tag of a piece, and the bags that the piece may be in. */
function PieceTag({ frame, found: { bag, bags, batch, what } }) {
  const name = `Tag ${bag.number}`;
  const where = bags ? 'in one of these bags' : 'in no bag yet';
  return html`<${Screen} ...${frame} overline="The tag of a piece" name=${name} title=${name} tone=${bag.tone}>
    <p class="body-text">${what ? `${capitalize(what)}, ${where}.` : `${capitalize(bag.headline)}.`}</p>
    ${bags && html`<${BagTags} bags=${bags} />`}
    ${batch && html`<a class="act secondary wide" href=${`/batch/${batch}`}>To its batch</a>`}
  </${Screen}>`;
}

/** BlankLabel is a numbered label that is on no bag yet. */
function BlankLabel({ frame, found: { bag, batch } }) {
  const name = `Blank ${bag.number}`;
  const bagWithIt = html`<a class="act wide" href=${`/batch/${batch}/bagging`} onClick=${() => passBlank(bag.number)}>
    Dye and bag with it</a>`;
  return html`<${Screen} ...${frame} overline="On no bag that this phone knows" name=${name} title=${name}
      tone=${bag.tone}>
    <p class="body-text">While you dye and bag, scan it or type its number: then it is that bag’s
      label.</p>
    ${batch ? bagWithIt : html`<a class="act secondary wide" href="/batches">To the batches</a>`}
  </${Screen}>`;
}

const sources = {
  hub: 'As the hub has it now',
  label: 'As printed on the label: this phone does not know the batch',
};

/** LabelledBag is a bag that this phone's journal does not have. */
const LabelledBag = ({ frame, bag, from }) => html`<${Screen} ...${frame} overline=${sources[from]} tone=${bag.tone}
  name=${`Bag ${bag.number}`} title=${html`<span class="aside">Bag ${bag.number}: </span>${capitalize(bag.headline)}`}>
  <div class="cure-state">
    ${bag.when && html`<p class="lead">${capitalize(bag.when)}</p>`}
    <p class="sub">${capitalize([bag.safe, bag.if].filter(Boolean).join(', '))}</p>
    ${
      bag.strip &&
      bag.colours.length > 0 &&
      html`<${DyeFrontWithHours} id=${bag.code || bag.number} strip=${bag.strip} colours=${bag.colours} />`
    }
  </div>
  <${Tag} big string><div class="line"><${BagNumber} bag=${bag} /><span class="what capitalized">${bag.what}</span>
    <span class="when">${bag.closed}</span></div></${Tag}>
  <section class="close"><${Swatches} colours=${bag.colours} /></section>
  ${bag.asPrinted && html`<p class="note">${capitalize(bag.asPrinted)}</p>`}
  <${Notes} list=${bag.notes} />
</${Screen}>`;
