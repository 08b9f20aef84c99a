// The colours of a design: one is selected, others are added from the batch, the presets or the dyes.
import { html, capitalize } from '../parts/html.js';
import { useState } from 'preact/hooks';
import { call } from '../core/core.js';
import { Dialog } from '../parts/dialog.js';
import { Field } from '../parts/field.js';
import { Icon } from '../parts/icons.js';
import { Cloth } from '../parts/swatch.js';
import { useData } from '../parts/data-hooks.js';

export const maxColours = 8;

/** Palette shows the colours; selected is the index of the colour that a tap puts on, −1 for none. */
export function Palette({ colours, selected, onSelect, onAdd, onReplace, offered }) {
  const [open, setOpen] = useState('');
  const close = () => setOpen('');
  const pick = (colour) => {
    if (open === 'add') onAdd(colour);
    else onReplace(colour);
    close();
  };
  return html`<div class="palette-swatches" role="group" aria-label="Selected colour">
    ${colours.map(
      (c, i) => html`<button type="button" class="swatch" key=${i} aria-pressed=${selected === i}
        onClick=${() => (selected === i ? setOpen('replace') : onSelect(i))}><${Cloth}
          rgb=${c.rgb} /><span>${c.name}</span></button>`,
    )}
    <button type="button" class="swatch" aria-pressed=${selected === -1} onClick=${() => onSelect(-1)}>
      <span class="blank" /><span>no dye</span></button>
    ${
      colours.length < maxColours &&
      html`<button type="button" class="swatch" onClick=${() => setOpen('add')}>
        <span class="blank"><${Icon} name="plus" /></span><span>add</span></button>`
    }
    <${Dialog} open=${Boolean(open)} onClose=${close}
      title=${open === 'add' ? 'Add a colour' : `Replace ${colours[selected]?.name}`}>
      ${open && html`<${ColourChoice} offered=${offered} onPick=${pick} />`}</${Dialog}>
  </div>`;
}

/** ColourChoice offers the batch's colours, the presets, dyes by their generic names, and one's own. */
function ColourChoice({ offered, onPick }) {
  const { value: choices } = useData(() => call('choices'));
  const [name, setName] = useState('');
  const [rgb, setRGB] = useState('#7a5a8c');
  return html`<div>
    ${offered.batch.length > 0 && html`<${Offer} title="From this batch" list=${offered.batch} onPick=${onPick} />`}
    <${Offer} title="Colours" onPick=${onPick}
      list=${(choices?.colours || []).map((c) => ({ name: c.name, rgb: c.rgb }))} />
    <details><summary>Dyes by their Colour Index names</summary>
      <${Offer} title="On cotton, medium depth" list=${offered.dyes} onPick=${onPick} /></details>
    <details><summary>Custom</summary>
      <${Field} label="Name" value=${name} onInput=${setName} />
      <${Field} label="Colour on the cloth" type="color" value=${rgb} onInput=${setRGB} />
      <button type="button" class="button wide" disabled=${!name.trim()}
        onClick=${() => onPick({ name: name.trim(), rgb: rgb.toLowerCase() })}>Use ${name.trim() || 'it'}</button>
    </details>
  </div>`;
}

const Offer = ({ title, list, onPick }) => html`<section><h2>${title}</h2><div class="palette">
  ${list.map(
    (c) => html`<button type="button" class="swatch" key=${c.name} onClick=${() => onPick(c)}>
      <${Cloth} rgb=${c.rgb} /><span>${capitalize(c.name)}</span></button>`,
  )}</div></section>`;
