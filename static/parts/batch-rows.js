// Batches as lines of a list.
import { html } from './html.js';
import { Icon } from './icons.js';
import { Swatch } from './swatch.js';

/** BatchRows links each batch: its name, what is next, its colours. */
export const BatchRows = ({ list }) =>
  list.map(
    (b) => html`<a class="link-row" href=${`/batch/${b.id}`} key=${b.id}>
  <span><b>${b.name}</b><span class="sub first">${b.detail ? `next: ${b.detail[0].toLowerCase()}${b.detail.slice(1)}` : b.stageText}</span></span>
  <span class="tail"><span class="dots">${b.colours.slice(0, 3).map((c) => html`<${Swatch} key=${c.id} colour=${c} little />`)}</span><${Icon} name="on" /></span>
</a>`,
  );
