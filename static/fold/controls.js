// What a thumb changes of a design besides colours: garment, fold, turns, sections, dye.
import { html, capitalize } from '../parts/html.js';
import { useId, useState } from 'preact/hooks';
import { Chips, Choice } from '../parts/choice.js';
import { Dialog } from '../parts/dialog.js';
import { Field } from '../parts/field.js';
import { withFold, withFoldMeasure, withSections } from './edit.js';

/** Slider is a line that a thumb moves along; its words stand beside the name. */
export function Slider({ label, words, value, min, max, step = 1, onInput, ticks }) {
  const id = useId();
  return html`<div class="field slide">
    <label for=${id}>${label} <b>${words}</b></label>
    <input id=${id} type="range" min=${min} max=${max} step=${step} value=${value} aria-valuetext=${words}
      onInput=${(e) => onInput(Number(e.target.value))} />
    ${ticks && html`<p class="ticks" aria-hidden="true">${ticks.map((t) => html`<span key=${t}>${t}</span>`)}</p>`}
  </div>`;
}

const ownSize = /^\s*(\d+(?:[.,]\d+)?)\s*[x×*]\s*(\d+(?:[.,]\d+)?)\s*$/i;

/** GarmentAndFold are two large buttons, each with a list of its own. */
export function GarmentAndFold({ design, choices, onChange }) {
  const [open, setOpen] = useState('');
  const fold = choices.folds.find((f) => f.kind === design.fold.kind);
  const garment = choices.garments.find((g) => g.garment === design.garment);
  const close = () => setOpen('');
  return html`<div class="two-tiles">
    <button type="button" class="tile" onClick=${() => setOpen('fold')}><small>Fold</small>
      <span class="capitalized">${fold?.words}</span></button>
    <button type="button" class="tile" onClick=${() => setOpen('garment')}><small>Garment</small>
      <span class="capitalized">${garment?.words || design.garment.replace('x', ' × ')}</span></button>
    <${Dialog} open=${open === 'fold'} onClose=${close} title="Fold">
      ${
        open === 'fold' &&
        html`<${Choice} oneColumn hideLabel label="Fold" value=${design.fold.kind}
          options=${choices.folds.map((f) => ({ value: f.kind, words: f.words, detail: capitalize(f.how) }))}
          onChange=${(kind) => {
            onChange(
              withFold(
                design,
                choices.folds.find((f) => f.kind === kind),
              ),
            );
            close();
          }} />`
      }
    </${Dialog}>
    <${Dialog} open=${open === 'garment'} onClose=${close} title="Garment">
      ${
        open === 'garment' &&
        html`<${GarmentChoice} design=${design} choices=${choices} onPick=${(garment) => {
          onChange({ ...design, garment });
          close();
        }} />`
      }
    </${Dialog}>
  </div>`;
}

/** GarmentChoice offers the garments, and a cloth by its width and height. */
function GarmentChoice({ design, choices, onPick }) {
  const [typed, setTyped] = useState('');
  const read = typed.match(ownSize);
  const size = read && `${read[1].replace(',', '.')}x${read[2].replace(',', '.')}`;
  return html`<div>
    <${Choice} hideLabel label="Garment" value=${design.garment} onChange=${onPick}
      options=${choices.garments.map((g) => ({ value: g.garment, words: g.words }))} />
    <${Field} label="Custom size, in cm" help="width × height, 5 to 400" placeholder="60 × 90" value=${typed}
      onInput=${setTyped} />
    <button type="button" class="button wide" disabled=${!size} onClick=${() => onPick(size)}>
      Use ${typed || 'it'}</button>
  </div>`;
}

/** FoldMeasures are the sliders that the fold has: turns, pleats, sections. */
export function FoldMeasures({ design, choice, onChange }) {
  const turns = design.fold.turns || choice.turns;
  const pleats = design.fold.pleats || choice.pleats;
  const measure = (some) => onChange(withFoldMeasure(design, some));
  const turnsText = `${turns.toLocaleString(undefined, { maximumFractionDigits: 2 })}`;
  return html`
    ${
      choice.turns > 0 &&
      html`<${Slider} label="Turns" words=${turnsText} value=${turns} min=${0.25} max=${4} step=${0.25}
        onInput=${(v) => measure({ turns: v })} />`
    }
    ${
      choice.pleats > 0 &&
      html`<${Slider} label="Pleats" words=${pleats} value=${pleats} min=${2} max=${choice.most}
        onInput=${(v) => measure({ pleats: v })} />`
    }
    <${Slider} label="Sections" words=${design.a.length} value=${design.a.length} min=${1} max=${12}
      onInput=${(n) => onChange(withSections(design, n))} />
    ${
      choice.sections.length > 1 &&
      html`<${Chips} label="Section shape" value=${design.shape || choice.sections[0].shape}
        options=${choice.sections.map((s) => ({ value: s.shape, words: s.words }))}
        onChange=${(shape) => shape && onChange({ ...design, shape })} />`
    }
    ${
      choice.rope &&
      html`<${Chips} label="Bindings" value=${design.bound}
        onChange=${() => onChange({ ...design, bound: !design.bound })}
        options=${[{ value: true, words: 'tight, at the end of each section' }]} />`
    }`;
}

/** DyeMeasures are what is planned: how much dye, how much of it goes into the creases, another scrunch. */
export const DyeMeasures = ({ design, onChange }) => html`
  <${Slider} label="Dye planned" words=${`${Math.round(100 * design.dye)} % of what the cloth holds`}
    value=${Math.round(100 * design.dye)} min=${20} max=${160} step=${5}
    onInput=${(v) => onChange({ ...design, dye: v / 100 })} />
  <${Slider} label="Squeezed into the creases" words=${`${Math.round(100 * (design.creases || 0))} % of it`}
    value=${Math.round(100 * (design.creases || 0))} min=${0} max=${100} step=${5}
    onInput=${(v) => onChange({ ...design, creases: v / 100 })} />
  <button type="button" class="button secondary wide"
    onClick=${() => onChange(withFoldMeasure(design, { seed: ((design.fold.seed || 0) + 1) % 1000 }))}>
    Fold it again, a little differently</button>`;
