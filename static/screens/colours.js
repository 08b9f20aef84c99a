// Colours: each with its own class and strength.
import { html, capitalize, keepUnits } from '../parts/html.js';
import { call } from '../core/core.js';
import { batchView, shelfView } from '../journal/views.js';
import { isHelper } from '../sync/hub-state.js';
import { ColourForm, unsavedColourFormKey } from '../parts/colour-form.js';
import { useData, useLiveData, useUnsavedSheet } from '../parts/data-hooks.js';
import { Dialog } from '../parts/dialog.js';
import { Icon } from '../parts/icons.js';
import { LinkRow } from '../parts/link-row.js';
import { Screen } from '../parts/screen.js';
import { Cloth, Swatch } from '../parts/swatch.js';

const customColour = { name: '', rgb: '#7a5a8c', class: 'dichlorotriazine', strength: '' };

export function Colours({ id }) {
  const { value: batch, fault } = useLiveData(() => batchView(id), [id]);
  const { value: choices, fault: choicesFault } = useData(() => call('choices'));
  const { value: powders } = useLiveData(loadPowders);
  // The sheet that is open: the id of a colour to change, or a preset to add one; it comes back after a reload.
  const [open, setOpen, close] = useUnsavedSheet(
    `colours.${id}`,
    unsavedColourFormKey(`batch/${id}`),
    /** @type {{colour?: string, preset?: any} | null} */ (null),
  );
  const colours = batch?.colours || [];
  const changed = colours.find((c) => c.id === open?.colour);
  const card = choices && batch && (changed ? { colour: changed } : open?.preset && { preset: open.preset });
  return html`<${Screen} activeTab="batches" back=${{ href: `/batch/${id}`, words: batch?.name || 'Batch' }}
    title="Colours"
    sub=${colours.length === 0 && 'Tap a colour near yours; then enter what the jar says.'}
    fault=${fault || choicesFault}
    actions=${colours.length > 0 && html`<a class="button" href=${`/batch/${id}/soak`}>On to the soak</a>`}>
    ${colours.map(
      (c, i) =>
        html`<${ColourRow} key=${c.id} colour=${c} jug=${batch?.jugs[i]} onClick=${() => setOpen({ colour: c.id })} />`,
    )}
    ${
      powders &&
      powders.length > 0 &&
      html`<${FromShelf} powders=${powders} onPick=${(preset) => setOpen({ preset })} />`
    }
    ${choices && html`<${Palette} presets=${choices.colours} onPick=${(preset) => setOpen({ preset })} />`}
    <${Dialog} open=${Boolean(card)} onClose=${close}
      title=${card && capitalize(card.colour?.name || card.preset.name || 'Custom colour')}>
      ${
        card &&
        html`<${ColourForm} scope=${`batch/${id}`} ...${card} others=${colours} choices=${choices}
          powders=${powders || []}
          done=${close} />`
      }
    </${Dialog}>
  </${Screen}>`;
}

/** loadPowders returns the powders on the shelf; a helper's phone knows none. */
async function loadPowders() {
  if (isHelper.value) return [];
  return (await shelfView()).groups.find((g) => g.key === 'dye')?.items || [];
}

/** presetOf makes a colour to start from out of a powder. */
const presetOf = ({ id, name, rgb, class: dyeClass, strength }) => ({
  name,
  rgb: rgb || customColour.rgb,
  class: dyeClass,
  strength: strength || '',
  stock: id,
});

/** FromShelf offers the powders in the house: the colour brings their class and strength along. */
const FromShelf = ({ powders, onPick }) => html`<section><h2>From the shelf</h2><div class="palette">
  ${powders.map(
    (p) => html`<button type="button" class="swatch" key=${p.id}
      onClick=${() => onPick(presetOf(p))}>
      <${Cloth} rgb=${presetOf(p).rgb} /><span>${p.name}</span><small>${p.amount}</small></button>`,
  )}
</div></section>`;

/** jugText says what is mixed of a colour: "800 mL: 4 bottles of 240 mL, 200 mL into each". */
const jugText = ({ volume, bottles }) => keepUnits([volume, bottles].filter(Boolean).join(': '));

const ColourRow = ({ colour, jug, onClick }) => html`<${LinkRow} onClick=${onClick}>
  <span class="inline-group"><${Swatch} colour=${colour} small />
    <span><b class="capitalized">${colour.name}</b>
      <span class="sub">${colour.strength}, ${colour.classIs}</span>
      ${jug && html`<span class="sub">${jugText(jug)}</span>`}</span></span>
</${LinkRow}>`;

/** Palette offers the preset colours, and a custom one. */
const Palette = ({ presets, onPick }) => html`<section><h2>Add a colour</h2><div class="palette">
  ${presets.map(
    (p) => html`<button type="button" class="swatch" key=${p.name} onClick=${() => onPick(p)}>
      <${Cloth} rgb=${p.rgb} /><span>${p.name}</span></button>`,
  )}
  <button type="button" class="swatch" onClick=${() => onPick(customColour)}>
    <span class="blank"><${Icon} name="plus" /></span><span>custom</span></button>
</div></section>`;
