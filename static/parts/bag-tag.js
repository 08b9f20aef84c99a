// A bag is a paper tag: a punched hole, its number huge, its piece and its colours.
import { html, classes, keepUnits } from './html.js';
import { DyeFront } from './dye-front.js';
import { useLongList } from './long-list.js';
import { Cloth } from './swatch.js';

/** TagString is the string through the hole. */
const TagString = () => html`<svg class="string icon" viewBox="0 0 44 26" aria-hidden="true">
  <path d="M0 4C16 6 30 8 42 13C30 17 14 18 0 24" stroke-width="1.6" /></svg>`;

/** Tag is the paper; give it href to make it a link. */
export const Tag = ({
  href,
  large,
  compact,
  hasString,
  children,
  label,
}) => html`<${href ? 'a' : 'div'} href=${href} aria-label=${label}
  class=${classes('tag', large && 'large', compact && 'compact')}>
  <span class="hole" aria-hidden="true"></span>
  ${hasString && html`<${TagString} />`}
  ${children}
</${href ? 'a' : 'div'}>`;

/** BagNumber writes a bag's number, a phone's letter small behind it. */
export const BagNumber = ({ bag }) =>
  html`<span class="bag-number">${bag.digits}${bag.letter && html`<sup>${bag.letter}</sup>`}</span>`;

const manyBags = 6; // a list of more shows each on one line

/** stateOf says in a word or two how a bag stands. */
const stateOf = (bag) => (bag.stage === 'cure' && bag.left && bag.tone === 'wet' ? bag.left : bag.headline);

/** shortState is stateOf shortened to one line: for a ready bag it says only that. */
const shortState = (bag) => (bag.stage === 'cure' && bag.readiness === 'ready' ? 'ready' : keepUnits(stateOf(bag)));

/** BagColours are all colours of a bag as small pieces of cloth with their letters. */
const BagColours = ({ colours }) =>
  html`<span class="tag-swatches">${colours.map(
    (c, i) => html`<${Cloth} key=${c.id + i} rgb=${c.rgb} caps=${c.caps} />`,
  )}
    <span class="visually-hidden">${colours.map((c) => c.name).join(', ')}</span></span>`;

/** BagTag is a bag as a row of a list; compact is a third as high. */
export function BagTag({ bag, compact }) {
  const href = `/bag/${bag.batch}/${bag.id}`;
  if (compact) return html`<${Tag} href=${href} compact><${CompactLine} bag=${bag} /></${Tag}>`;
  const curing = bag.stage === 'cure';
  const when = (curing ? [bag.when, bag.safe] : [bag.rated, bag.placeName]).filter(Boolean).join(' · ');
  return html`<${Tag} href=${href}>
    <div class="tag-body"><span class="visually-hidden">Bag </span><${BagNumber} bag=${bag} />
      <span class="split-line"><span class="contents capitalized">${bag.what}</span></span>
      <span class="split-line"><span class=${'state tone-' + bag.tone}>${keepUnits(stateOf(bag))}</span>
        <span class="when">${keepUnits(when)}</span></span>
    </div>
    ${
      bag.strip &&
      bag.colours.length > 0 &&
      html`<${DyeFront} id=${bag.id} strip=${bag.strip} colours=${bag.colours} />`
    }
  </${Tag}>`;
}

/** CompactLine is a bag on one line: number, colours, piece, place, how it stands. */
export const CompactLine = ({ bag }) => html`<div class="tag-body">
  <span class="visually-hidden">Bag </span><${BagNumber} bag=${bag} /><${BagColours} colours=${bag.colours} />
  <span class="contents"><span class="capitalized">${bag.what}</span>
    <small>${[bag.placeName, shortState(bag), bag.rated].filter(Boolean).join(' · ')}</small></span>
</div>`;

/** BagTags lists them, each on one line where there are many. */
export function BagTags({ bags, compact = bags.length > manyBags }) {
  const { count, rest } = useLongList(bags.length);
  return html`<ul class=${classes('tags', compact && 'many')}>${bags
    .slice(0, count)
    .map((b) => html`<li key=${b.id}><${BagTag} bag=${b} compact=${compact} /></li>`)}</ul>${rest}`;
}
