// A form for one colour of a batch: new, or to be changed or taken out.
import { Kind } from '../dist/constants.js';
import { html, capitalize, keepUnits } from './html.js';
import { useEffect, useState } from 'preact/hooks';
import { call } from '../core/core.js';
import { asFault } from '../core/fault.js';
import { record } from '../journal/journal.js';
import { Chips, Choice } from './choice.js';
import { useAction, useUnsavedFields } from './data-hooks.js';
import { Field, Quantity } from './field.js';
import { JugFields, useJugFields } from './jug-fields.js';
import { PhotoColour } from './colour-from-photo.js';
import { ErrorBox } from './messages.js';
import { PhotoButton } from './photo-button.js';
import { Cloth } from './swatch.js';
import { readStrength, useSwatchLook } from './swatch-look.js';
/** @import { Fault } from '../core/fault.js' */

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

/** strengthText is the strength of a colour as it was typed: by volume, or on the cloth. */
const strengthText = (start) => (start.on_cloth ? `${Number((start.on_cloth * 100).toFixed(2))} %` : start.strength);

/** unsavedColourFormKey is the name under which a form about a colour is kept until it is saved. */
export const unsavedColourFormKey = (scope) => `colour.${scope}`;

/** savedLook waits for the look at the strength of now; where it cannot be worked out, the form says so. */
const savedLook = (swatch) => (swatch.fault ? swatch.rgb : swatch.readLook());

/** useColourForm holds one colour, and returns what records it. */
function useColourForm({ scope, colour, preset, others, done }) {
  const start = colour || preset;
  const [field] = useUnsavedFields(unsavedColourFormKey(scope));
  const [name, setName] = field('name', start.name);
  const [letters, setLetters, lettersFault] = useCapLetters(colour, name, others);
  const [dyeClass, setDyeClass] = field('class', start.class || 'dichlorotriazine');
  const [typed, setTyped] = field('strength', strengthText(start));
  const [strength, setStrength] = useState(/** @type {any} */ ({})); // as Quantity read it
  const [depth, setDepth] = field('depth', colour?.depth || 1);
  const pickedDye = (start.gPerL || 0) * (colour?.depth || 1);
  const swatch = useSwatchLook(field('look', { rgb: start.rgb, dye: pickedDye }), strength, depth);
  const [stock, setStock] = field('stock', start.stock || '');
  const jug = useJugFields(colour, field);
  const [run, fault, busy] = useAction();
  const save = () =>
    run(async () => {
      const look = { name: name.trim(), caps: letters, rgb: await savedLook(swatch) };
      const dye = { class: dyeClass, depth, ...(await readStrength(strength)), typed: { strength: typed.trim() } };
      const body = { ...look, ...dye, stock, ...jug.body() };
      const changed = { scope, subject: colour?.id, kind: Kind.colourChanged, body };
      await record([colour ? changed : { scope, kind: Kind.colourChosen, body }], {
        undo: `${capitalize(name.trim())} ${colour ? 'changed' : 'added'}`,
      });
      done();
    });
  const remove = () =>
    run(async () => {
      const draft = { scope, subject: colour.id, kind: Kind.colourRemoved, body: {} };
      await record([draft], { undo: `${capitalize(colour.name)} removed` });
      done();
    });
  const canSave = !busy && name.trim() && strength.value && letters && jug.isRead;
  const look = { name, setName, swatch, letters, setLetters, lettersFault, dyeClass, setDyeClass };
  const dye = { typed, setTyped, setStrength, depth, setDepth, stock, setStock, jug };
  return { ...look, ...dye, fault, busy, canSave, save, remove };
}

/** ColourForm edits one colour: from a preset or the shelf, or an existing one. */
export function ColourForm({ scope, colour, preset, others, choices, powders, done }) {
  const form = useColourForm({ scope, colour, preset, others, done });
  const { swatch, letters, lettersFault } = form;
  return html`<div>
    <div class="swatch-and-name"><span class="swatch"><${Cloth} rgb=${swatch.rgb} caps=${letters} /></span>
      <${Field} label="Name" value=${form.name} onInput=${form.setName} /></div>
    <${Quantity} label="Strength at full depth" kinds=${['concentration', 'share']} value=${form.typed}
      onInput=${form.setTyped} onRead=${form.setStrength}
      help="grams of powder per finished volume, or per cent of the dry cloth"
      presets=${choices.strengths} placeholder="25 g/L or 2 %" />
    <${Choice} oneColumn label="Class of the dye" value=${form.dyeClass} onChange=${form.setDyeClass}
      options=${choices.classes.map((c) => ({ value: c.class, words: c.words, detail: capitalize(c.means) }))} />
    <${Chips} label="Depth you want" value=${form.depth} onChange=${(value) => form.setDepth(value || 1)}
      options=${depths} />
    ${
      powders.length > 0 &&
      html`<${Chips} label="Powder on the shelf" value=${form.stock} onChange=${form.setStock}
        options=${powders.map((p) => ({ value: p.id, words: keepUnits(`${p.name} ${p.amount}`.trim()) }))} />`
    }
    <${JugFields} form=${form.jug} />
    <${LookAndLetters} open=${Boolean(lettersFault)} swatch=${swatch} letters=${letters}
      onLetters=${form.setLetters} />
    <${ErrorBox} fault=${form.fault || lettersFault} />
    ${lettersFault && html`<p class="note">Type the letters on the cap yourself, under Look and letters.</p>`}
    ${
      colour &&
      html`<button type="button" class="text-button" disabled=${form.busy} onClick=${form.remove}>
        Remove from the batch</button>`
    }
    <button type="button" class="button wide" disabled=${!form.canSave} onClick=${form.save}>
      ${colour ? 'Save' : `Add ${form.name.trim() || 'the colour'}`}</button>
  </div>`;
}

const LookAndLetters = ({ open, swatch, letters, onLetters }) => html`<details open=${open}>
  <summary>Look and letters</summary>
  <${Field} label="How it looks" type="color" value=${swatch.rgb} onInput=${swatch.pick} />
  <${LookFromPhoto} onPick=${swatch.pick} />
  ${swatch.fault && html`<p class="note">The swatch does not follow the strength: ${swatch.fault.sentence}</p>`}
  <${Field} label="Letters on the cap" value=${letters} onInput=${(text) => onLetters(text.toUpperCase().slice(0, 2))}
    help="one or two letters; not S, M, L or X alone, they are sizes" />
</details>`;

/** LookFromPhoto reads how the colour looks from a photo of a dyed piece beside a white card. */
function LookFromPhoto({ onPick }) {
  const [photo, setPhoto] = useState(/** @type {File | null} */ (null));
  const pickRead = (read) => read && onPick(read.rgb);
  return html`<${PhotoButton} words="From a photo of your swatch" onPhoto=${setPhoto} />
    ${photo && html`<${PhotoColour} key=${photo.lastModified} load=${() => photo} onRead=${pickRead} />`}`;
}
