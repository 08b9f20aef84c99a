// Draws a bag as a paper tag: a punched hole, a large number, its piece and its colours.
import { html, classes, keepUnits } from './html.js';
import { DyeFront } from './dye-front.js';

/** TagString is the string through the hole. */
const TagString = () => html`<svg class="string icon" viewBox="0 0 44 26" aria-hidden="true">
  <path d="M0 4C16 6 30 8 42 13C30 17 14 18 0 24" stroke-width="1.6" /></svg>`;

/** Tag is the paper; give it href to make it a link. */
export const Tag = ({
  href,
  large,
  hasString,
  children,
  label,
}) => html`<${href ? 'a' : 'div'} class=${classes('tag', large && 'large')} href=${href} aria-label=${label}>
  <span class="hole" aria-hidden="true"></span>
  ${hasString && html`<${TagString} />`}
  ${children}
</${href ? 'a' : 'div'}>`;

/** BagNumber writes a bag's number, followed by the phone's letter in small type. */
export const BagNumber = ({ bag }) =>
  html`<span class="bag-number">${bag.digits}${bag.letter && html`<sup>${bag.letter}</sup>`}</span>`;

/** BagTag is a bag as a row of a list. */
export function BagTag({ bag }) {
  const isCuring = bag.stage === 'cure';
  const state = bag.stage === 'cure' && bag.left && bag.tone === 'wet' ? bag.left : bag.headline;
  const when = isCuring ? [bag.when, bag.safe].filter(Boolean).join(' · ') : bag.placeName || '';
  return html`<${Tag} href=${`/bag/${bag.batch}/${bag.id}`}>
    <div class="tag-body"><span class="visually-hidden">Bag </span><${BagNumber} bag=${bag} />
      <span class="split-line"><span class="what capitalized">${bag.what}</span></span>
      <span class="split-line"><span class=${'state tone-' + bag.tone}>${keepUnits(state)}</span>
        <span class="when">${keepUnits(when)}</span></span>
    </div>
    ${
      bag.strip &&
      bag.colours.length > 0 &&
      html`<${DyeFront} id=${bag.id} strip=${bag.strip} colours=${bag.colours} />`
    }
  </${Tag}>`;
}

/** BagTags is a list of such rows. */
export const BagTags = ({ bags }) =>
  html`<ul class="tags">${bags.map((b) => html`<li key=${b.id}><${BagTag} bag=${b} /></li>`)}</ul>`;
