// A bag is a paper tag: a punched hole, its number huge, its piece and its colours.
import { html, classes, keepUnits } from './html.js';
import { DyeFront } from './dye-front.js';

/** TagString is the string through the hole. */
const TagString = () => html`<svg class="string icon" viewBox="0 0 44 26" aria-hidden="true">
  <path d="M0 4C16 6 30 8 42 13C30 17 14 18 0 24" stroke-width="1.6" /></svg>`;

/** Tag is the paper; give it href to make it a link. */
export const Tag = ({
  href,
  big,
  string,
  children,
  label,
}) => html`<${href ? 'a' : 'div'} class=${classes('tag', big && 'large')} href=${href} aria-label=${label}>
  <span class="hole" aria-hidden="true"></span>
  ${string && html`<${TagString} />`}
  ${children}
</${href ? 'a' : 'div'}>`;

/** BagNumber writes a bag's number, a phone's letter small behind it. */
export const BagNumber = ({ bag }) =>
  html`<span class="no">${bag.digits}${bag.letter && html`<sup>${bag.letter}</sup>`}</span>`;

/** BagTag is a bag as a row of a list. */
export function BagTag({ bag }) {
  const curing = bag.stage === 'cure';
  const state = bag.stage === 'cure' && bag.left && bag.tone === 'wet' ? bag.left : bag.headline;
  const when = curing ? [bag.when, bag.safe].filter(Boolean).join(' · ') : bag.placeName || '';
  return html`<${Tag} href=${`/bag/${bag.batch}/${bag.id}`}>
    <div class="line"><span class="aside">Bag </span><${BagNumber} bag=${bag} />
      <span class="spread"><span class="what capitalized">${bag.what}</span></span>
      <span class="spread"><span class=${'state tone-' + bag.tone}>${keepUnits(state)}</span>
        <span class="when">${keepUnits(when)}</span></span>
    </div>
    ${
      bag.strip &&
      bag.colours.length > 0 &&
      html`<${DyeFront} id=${bag.id} strip=${bag.strip} colours=${bag.colours} />`
    }
  </${Tag}>`;
}

/** BagTags lists them. */
export const BagTags = ({ bags }) =>
  html`<ul class="tags">${bags.map((b) => html`<li key=${b.id}><${BagTag} bag=${b} /></li>`)}</ul>`;
