// Batches as lines of a list.
import { html } from './html.js';
import { Icon } from './icons.js';
import { useLongList } from './long-list.js';
import { Swatch } from './swatch.js';

/** BatchRows links each batch: its name, what is next, its colours. */
export function BatchRows({ list }) {
  const { count, rest } = useLongList(list.length);
  return html`${list.slice(0, count).map(
    (b) => html`<a class="link-row" href=${`/batch/${b.id}`} key=${b.id}>
      <span><b>${b.name}</b><span class="sub capitalized">${nextText(b)}</span></span>
      <span class="inline-group"><${Dots} colours=${b.colours} /><${Icon} name="next" /></span></a>`,
  )}${rest}`;
}

/** nextText says what comes next in a batch, or its stage. */
const nextText = ({ detail, stageText }) => (detail ? `next: ${detail[0].toLowerCase()}${detail.slice(1)}` : stageText);

const Dots = ({ colours }) =>
  html`<span class="swatch-stack">${colours.map((c) => html`<${Swatch} key=${c.id} colour=${c} small />`)}</span>`;
