// Colours: each with its class and a strength of its own.
import { Kind } from '../dist/constants.js';
import { html, capitalize } from '../parts/html.js';
import { useState, useEffect } from 'preact/hooks';
import { call } from '../core/core.js';
import { asFault } from '../core/fault.js';
import { record } from '../journal/journal.js';
import { batchView } from '../journal/views.js';
import { Chips, Choice } from '../parts/choice.js';
import { useAction, useData, useLiveData } from '../parts/data-hooks.js';
import { Dialog } from '../parts/dialog.js';
import { Field, Quantity } from '../parts/field.js';
import { Icon } from '../parts/icons.js';
import { LinkRow } from '../parts/link-row.js';
import { ErrorBox } from '../parts/messages.js';
import { Screen } from '../parts/screen.js';
import { Cloth, Swatch } from '../parts/swatch.js';
/** @import { Fault } from '../core/fault.js' */

const customColour = { name: '', rgb: '#7a5a8c', class: 'dichlorotriazine', strength: '' };

export function Colours({ id }) {
  const { value: batch, fault } = useLiveData(() => batchView(id), [id]);
  const { value: choices, fault: choicesFault } = useData(() => call('choices'));
  const [card, setCard] = useState(/** @type {any} */ (null)); // {colour} to change one, {preset} to add one
  const colours = batch?.colours || [];
  return html`<${Screen} here="batches" back=${{ href: `/batch/${id}`, words: batch?.name || 'Batch' }} title="Colours"
    sub=${colours.length === 0 && 'Tap a colour near yours; then enter what the jar says.'}
    fault=${fault || choicesFault}
    acts=${colours.length > 0 && html`<a class="act" href=${`/batch/${id}/soak`}>On to the soak</a>`}>
    ${colours.map((c) => html`<${ColourRow} key=${c.id} colour=${c} onClick=${() => setCard({ colour: c })} />`)}
    ${choices && html`<${Palette} presets=${choices.colours} onPick=${(preset) => setCard({ preset })} />`}
    <${Dialog} open=${Boolean(card)} onClose=${() => setCard(null)}
      title=${card && capitalize(card.colour?.name || card.preset.name || 'Custom colour')}>
      ${
        card &&
        html`<${ColourForm} scope=${`batch/${id}`} ...${card} others=${colours} choices=${choices}
          done=${() => setCard(null)} />`
      }
    </${Dialog}>
  </${Screen}>`;
}

const ColourRow = ({ colour, onClick }) => html`<${LinkRow} onClick=${onClick}>
  <span class="tail"><${Swatch} colour=${colour} little />
    <span><b class="capitalized">${colour.name}</b>
      <span class="sub">${colour.strength}, ${colour.classIs}</span></span></span>
</${LinkRow}>`;

/** Palette offers the preset colours, and a custom one. */
const Palette = ({ presets, onPick }) => html`<section><h2>Add a colour</h2><div class="palette">
  ${presets.map(
    (p) => html`<button type="button" class="swatch" key=${p.name} onClick=${() => onPick(p)}>
      <${Cloth} rgb=${p.rgb} /><span>${p.name}</span></button>`,
  )}
  <button type="button" class="swatch own" onClick=${() => onPick(customColour)}>
    <span class="blank"><${Icon} name="plus" /></span><span>custom</span></button>
</div></section>`;

const depths = [
  { value: 1, words: 'full' },
  { value: 0.5, words: 'half' },
  { value: 0.25, words: 'quarter' },
];

/**
 * useCapLetters holds the letters on the cap. Those of a new colour are suggested by the
 * core from its name; fault says why there is no suggestion, and the person types them.
 */
function useCapLetters(colour, name, others) {
  const [letters, setLetters] = useState(colour?.caps || '');
  const [fault, setFault] = useState(/** @type {Fault | null} */ (null));
  useEffect(() => {
    if (colour || !name.trim()) return;
    let current = true;
    call('caps.choose', { name, taken: others.map((c) => c.caps) }).then(
      ({ caps }) => {
        if (!current) return;
        setLetters(caps);
        setFault(null);
      },
      (err) => current && setFault(asFault(err)),
    );
    return () => {
      current = false;
    };
  }, [name]);
  return [letters, setLetters, fault];
}

/** ColourForm is one colour: from a preset, or to be changed. */
function ColourForm({ scope, colour, preset, others, choices, done }) {
  const start = colour || preset;
  const [name, setName] = useState(start.name);
  const [rgb, setRGB] = useState(start.rgb);
  const [letters, setLetters, lettersFault] = useCapLetters(colour, name, others);
  const [dyeClass, setDyeClass] = useState(start.class);
  const [typed, setTyped] = useState(start.strength);
  const [strength, setStrength] = useState(/** @type {any} */ ({})); // as Quantity read it
  const [depth, setDepth] = useState(colour?.depth || 1);
  const [run, fault, busy] = useAction();
  const save = () =>
    run(async () => {
      const look = { name: name.trim(), caps: letters, rgb: rgb.toLowerCase() };
      const dye = { class: dyeClass, depth, strength: strength.value, typed: { strength: typed.trim() } };
      const body = { ...look, ...dye };
      const changed = { scope, subject: colour?.id, kind: Kind.colourChanged, body };
      await record([colour ? changed : { scope, kind: Kind.colourChosen, body }], {
        undo: `${capitalize(name.trim())} ${colour ? 'changed' : 'added'}`,
      });
      done();
    });
  return html`<div>
    <div class="pair"><span class="swatch"><${Cloth} rgb=${rgb} caps=${letters} /></span>
      <${Field} label="Name" value=${name} onInput=${setName} /></div>
    <${Quantity} label="Strength at full depth" kinds=${['concentration']} value=${typed} onInput=${setTyped}
      onRead=${setStrength} help="grams of powder per finished volume" presets=${choices.strengths}
      placeholder="25 g/L" />
    <${Choice} one label="Class of the dye" value=${dyeClass} onChange=${setDyeClass}
      options=${choices.classes.map((c) => ({ value: c.class, words: c.words, detail: capitalize(c.means) }))} />
    <${Chips} label="Depth wanted" value=${depth} onChange=${(value) => setDepth(value || 1)} options=${depths} />
    <${LookAndLetters} open=${Boolean(lettersFault)} rgb=${rgb} onColour=${setRGB} letters=${letters}
      onLetters=${setLetters} />
    <${ErrorBox} fault=${fault || lettersFault} />
    ${lettersFault && html`<p class="note">Type the letters on the cap yourself, under Look and letters.</p>`}
    <button type="button" class="act wide" disabled=${busy || !name.trim() || !strength.value || !letters}
      onClick=${save}>${colour ? 'Save' : `Add ${name.trim() || 'the colour'}`}</button>
  </div>`;
}

const LookAndLetters = ({ open, rgb, onColour, letters, onLetters }) => html`<details open=${open}>
  <summary>Look and letters</summary>
  <${Field} label="How it looks" type="color" value=${rgb} onInput=${onColour} />
  <${Field} label="Letters on the cap" value=${letters} onInput=${(text) => onLetters(text.toUpperCase().slice(0, 2))}
    help="one or two letters; not S, M, L or X alone, they are sizes" />
</details>`;
