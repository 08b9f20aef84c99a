// The colours that pieces wear: all of the batch, or some of them with their parts.
import { html } from './html.js';
import { Stepper } from './stepper.js';
import { Swatch } from './swatch.js';

const maxParts = 9;

/** useColourParts takes [parts by colour, set]; list is empty where every piece takes all colours alike. */
export function useColourParts([parts, setColourParts]) {
  const usedParts = Object.entries(parts).filter(([, n]) => Number(n) > 0);
  const list = usedParts.map(([colour, n]) => ({ colour, share: Number(n) / maxParts }));
  const setPart = (colour, n) => setColourParts((old) => ({ ...old, [colour]: n }));
  return { parts, setPart, list, clear: () => setColourParts({}) };
}

/** partsOf returns whole parts for shares: the smallest share is one part. */
export function partsOf(colours) {
  const least = Math.min(...colours.map((c) => c.share).filter(Boolean));
  return Object.fromEntries(colours.map((c) => [c.colour, String(Math.round(c.share / least) || 1)]));
}

/** ColourParts asks which colours pieces wear. */
export const ColourParts = ({ form, colours }) => html`<details open=${form.list.length > 0}>
  <summary>Colours: ${
    form.list.length > 0
      ? colours
          .filter((c) => Number(form.parts[c.id]) > 0)
          .map((c) => c.name)
          .join(', ')
      : 'all of the batch'
  }</summary>
  ${colours.map(
    (c) => html`<div class="wears" key=${c.id}><${Swatch} colour=${c} small />
      <${Stepper} label=${`Parts of ${c.name}`} value=${form.parts[c.id] || '0'} min=${0} max=${maxParts}
        onChange=${(n) => form.setPart(c.id, n)} /></div>`,
  )}
  ${
    form.list.length > 0 &&
    html`<button type="button" class="text-button" onClick=${form.clear}>All colours of the batch</button>`
  }
</details>`;
