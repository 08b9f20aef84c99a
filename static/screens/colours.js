// Colours: each with its class and a strength of its own.
import { Kind } from '../dist/constants.js';
import { html, capitalize } from '../parts/html.js';
import { useState, useEffect } from 'preact/hooks';
import { call } from '../core/core.js';
import { record } from '../journal/journal.js';
import { batchView } from '../journal/views.js';
import { useLiveData, useData, useAction } from '../parts/data-hooks.js';
import { Screen } from '../parts/screen.js';
import { Dialog } from '../parts/dialog.js';
import { Choice, Chips } from '../parts/choice.js';
import { Field, Quantity } from '../parts/field.js';
import { Swatch, Cloth } from '../parts/swatch.js';
import { Icon } from '../parts/icons.js';
import { ErrorBox } from '../parts/messages.js';

export function Colours({ id }) {
  const { value: batch, fault } = useLiveData(() => batchView(id), [id]);
  const { value: offer } = useData(() => call('choices'));
  const [card, open] = useState(/** @type {any} */ (null));
  const taken = batch?.colours || [];
  return html`<${Screen} here="batches" back=${{ href: `/batch/${id}`, words: batch?.name || 'Batch' }} title="Colours" sub=${taken.length === 0 && 'Tap a colour near yours; then say what stands on the jar.'} fault=${fault}
    acts=${taken.length > 0 && html`<a class="act" href=${`/batch/${id}/soak`}>On to the soak</a>`}>
    ${taken.map(
      (c) => html`<button type="button" class="link-row" key=${c.id} onClick=${() => open({ colour: c })}>
      <span class="tail"><${Swatch} colour=${c} little /><span><b class="first">${c.name}</b><span class="sub">${c.strength}, ${c.classIs}</span></span></span><${Icon} name="on" /></button>`,
    )}
    ${
      offer &&
      html`<section><h2>Add a colour</h2><div class="palette">
      ${offer.colours.map((p) => html`<button type="button" class="swatch" key=${p.name} onClick=${() => open({ preset: p })}><${Cloth} rgb=${p.rgb} /><span>${p.name}</span></button>`)}
      <button type="button" class="swatch own" onClick=${() => open({ preset: { name: '', rgb: '#7a5a8c', class: 'dichlorotriazine', strength: '' } })}><span class="blank"><${Icon} name="plus" /></span><span>one of your own</span></button>
    </div></section>`
    }
    <${Dialog} open=${Boolean(card)} onClose=${() => open(null)} title=${card && capitalize(card.colour?.name || card.preset.name || 'A colour of your own')}>
      ${card && html`<${Card} scope=${`batch/${id}`} ...${card} taken=${taken} offer=${offer} done=${() => open(null)} />`}
    </${Dialog}>
  </${Screen}>`;
}

const depths = [
  { value: 1, words: 'full' },
  { value: 0.5, words: 'half' },
  { value: 0.25, words: 'quarter' },
];

/** Card is one colour: from a preset, or to be changed. */
function Card({ scope, colour, preset, taken, offer, done }) {
  const from = colour || preset;
  const [name, setName] = useState(from.name);
  const [rgb, setRGB] = useState(from.rgb);
  const [caps, setCaps] = useState(colour?.caps || '');
  const [kind, setKind] = useState(from.class);
  const [typed, setTyped] = useState(from.strength);
  const [read, setRead] = useState(/** @type {any} */ ({}));
  const [depth, setDepth] = useState(colour?.depth || 1);
  const [run, fault, busy] = useAction();
  useEffect(() => {
    if (colour || !name.trim()) return;
    let here = true;
    call('caps.choose', { name, taken: taken.map((c) => c.caps) }).then(
      (v) => here && setCaps(v.caps),
      () => {},
    );
    return () => {
      here = false;
    };
  }, [name]);
  const save = () =>
    run(async () => {
      const body = {
        name: name.trim(),
        caps,
        rgb: rgb.toLowerCase(),
        class: kind,
        strength: read.value,
        depth,
        typed: { strength: typed.trim() },
      };
      await record(
        [
          colour
            ? { scope, subject: colour.id, kind: Kind.colourChanged, body }
            : { scope, kind: Kind.colourChosen, body },
        ],
        { undo: `${capitalize(name.trim())} ${colour ? 'changed' : 'added'}` },
      );
      done();
    });
  return html`<div>
    <div class="pair"><span class="swatch"><${Cloth} rgb=${rgb} caps=${caps} /></span><${Field} label="Name" value=${name} onInput=${setName} /></div>
    <${Quantity} label="Strength at full depth" kinds=${['concentration']} value=${typed} onInput=${setTyped} onRead=${setRead} help="grams of powder per finished volume" presets=${offer.strengths} placeholder="25 g/L" />
    <${Choice} one label="Class of the dye" value=${kind} onChange=${setKind} options=${offer.classes.map((c) => ({ value: c.class, words: c.words, detail: capitalize(c.means) }))} />
    <${Chips} label="Depth wanted" value=${depth} onChange=${(d) => setDepth(d || 1)} options=${depths} />
    <details><summary>Look and letters</summary>
      <${Field} label="How it looks" type="color" value=${rgb} onInput=${setRGB} />
      <${Field} label="Letters on the cap" value=${caps} onInput=${(t) => setCaps(t.toUpperCase().slice(0, 2))} help="one or two letters; not S, M, L or X alone, they are sizes" />
    </details>
    <${ErrorBox} fault=${fault} />
    <button type="button" class="act wide" disabled=${busy || !name.trim() || !read.value || !caps} onClick=${save}>${colour ? 'Save' : `Add ${name.trim() || 'the colour'}`}</button>
  </div>`;
}
