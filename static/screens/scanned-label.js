// A scanned label: its bag as this phone or the hub knows it, or else as printed.
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
  const { value: localResult, fault: localFault } = useData(() => lookUpLabel(code, { hub: false }), [code]); // at once
  const { value: latestResult, fault } = useLiveData(() => lookUpLabel(code), [code]); // the hub may take a while
  const lookup = latestResult || localResult;
  useEffect(() => {
    if (lookup?.from === 'phone') navigate(`/bag/${lookup.batch}/${lookup.id}`, { replace: true });
  }, [lookup?.from]);
  const screenProps = {
    localResult: 'scan',
    back: { href: '/scan', words: 'Scan' },
    fault: fault || (!lookup && localFault),
  };
  if (!lookup) {
    const again = screenProps.fault && html`<a class="button" href="/scan">Scan again</a>`;
    return html`<${Screen} ...${screenProps} title=${screenProps.fault ? 'Not a bag’s code' : 'Bag'}
      actions=${again} />`;
  }
  if (lookup.tag) return html`<${PieceTag} screenProps=${screenProps} lookup=${lookup} />`;
  if (lookup.blank) return html`<${BlankLabel} screenProps=${screenProps} lookup=${lookup} />`;
  return html`<${LabelledBag} screenProps=${screenProps} bag=${lookup.bag} from=${lookup.from} />`;
}

/** PieceTag is the tag of a piece, and the bags that the piece may be in. */
function PieceTag({ screenProps, lookup: { bag, bags, batch, what } }) {
  const name = `Tag ${bag.number}`;
  const where = bags ? 'in one of these bags' : 'in no bag yet';
  return html`<${Screen} ...${screenProps} overline="The tag of a piece" name=${name} title=${name} tone=${bag.tone}>
    <p class="body-text">${what ? `${capitalize(what)}, ${where}.` : `${capitalize(bag.headline)}.`}</p>
    ${bags && html`<${BagTags} bags=${bags} />`}
    ${batch && html`<a class="button secondary wide" href=${`/batch/${batch}`}>Go to its batch</a>`}
  </${Screen}>`;
}

/** BlankLabel is a numbered label that is on no bag yet. */
function BlankLabel({ screenProps, lookup: { bag, batch } }) {
  const name = `Blank ${bag.number}`;
  const bagWithIt = html`<a class="button wide" href=${`/batch/${batch}/bagging`}
    onClick=${() => passBlank(bag.number)}>
    Use it for the next bag</a>`;
  return html`<${Screen} ...${screenProps} overline="Not on any bag that this phone knows" name=${name} title=${name}
      tone=${bag.tone}>
    <p class="body-text">While you dye and bag, scan it or type its number: then it becomes that bag’s label.</p>
    ${batch ? bagWithIt : html`<a class="button secondary wide" href="/batches">Go to the batches</a>`}
  </${Screen}>`;
}

const sourceTexts = {
  hub: 'From the hub, as of now',
  label: 'As printed on the label: this phone does not know the batch',
};

/** LabelledBag is a bag that this phone's journal does not have. */
const LabelledBag = ({
  screenProps,
  bag,
  from,
}) => html`<${Screen} ...${screenProps} overline=${sourceTexts[from]} tone=${bag.tone}
  name=${`Bag ${bag.number}`} title=${html`<span
    class="visually-hidden">Bag ${bag.number}: </span>${capitalize(bag.headline)}`}>
  <div class="cure-state">
    ${bag.when && html`<p class="lead">${capitalize(bag.when)}</p>`}
    <p class="sub">${capitalize([bag.safe, bag.if].filter(Boolean).join(', '))}</p>
    ${
      bag.strip &&
      bag.colours.length > 0 &&
      html`<${DyeFrontWithHours} id=${bag.code || bag.number} strip=${bag.strip} colours=${bag.colours} />`
    }
  </div>
  <${Tag} large hasString><div class="tag-body"><${BagNumber} bag=${bag} /><span
    class="contents capitalized">${bag.what}</span>
    <span class="when">${bag.closed}</span></div></${Tag}>
  <section class="compact"><${Swatches} colours=${bag.colours} /></section>
  ${bag.asPrinted && html`<p class="note">${capitalize(bag.asPrinted)}</p>`}
  <${Notes} list=${bag.notes} />
</${Screen}>`;
