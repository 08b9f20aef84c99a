// Fold: how a folded and dyed piece will look opened out, and the card for the table.
import { html, capitalize } from '../parts/html.js';
import { useEffect, useState } from 'preact/hooks';
import { navigate } from '../device/router.js';
import { ownFigures } from '../device/settings.js';
import { squeeze } from '../device/squeeze.js';
import { useScreenOn } from '../device/wake-lock.js';
import { loadState } from '../journal/states.js';
import { batchView } from '../journal/views.js';
import { Chips } from '../parts/choice.js';
import { useData, useLiveData } from '../parts/data-hooks.js';
import { Screen } from '../parts/screen.js';
import { SqueezeForm, useSqueeze } from '../parts/squeeze-form.js';
import { Bundle } from '../fold/bundle.js';
import { ClothPictures, useClothPictures } from '../fold/cloth-pictures.js';
import { DyeMeasures, FoldMeasures, GarmentAndFold, Slider } from '../fold/controls.js';
import { loadDesigns } from '../fold/designs.js';
import { isAlike, withColour, withFoldMeasure, withoutColour, withPaint } from '../fold/edit.js';
import { callExtra } from '../core/extra.js';
import { foldChoices } from '../fold/choices.js';
import { FoldCard, WhiteInside, useFoldReport } from '../fold/fold-card.js';
import { DesignActions } from '../fold/design-actions.js';
import { Palette } from '../fold/palette.js';

/** StartFold opens one of the designs to start from. */
export const StartFold = ({ name }) =>
  html`<${LoadedFold} load=${async (choices) => choices.starters.find((d) => d.name === name)} />`;
/** SharedFold opens a design that came as a code, SavedFold a saved design. */
export const SharedFold = ({ code }) => html`<${LoadedFold} load=${() => callExtra('fold.decode', { code })} />`;
export const SavedFold = ({ id }) =>
  html`<${LoadedFold} id=${id} load=${async () => {
    const saved = (await loadDesigns()).designs.find((d) => d.id === id);
    return saved && callExtra('fold.decode', { code: saved.code });
  }} />`;

/** PieceFold opens the design of pieces of a batch, or a plain one with the batch's colours. */
export const PieceFold = ({ batch, piece }) =>
  html`<${LoadedFold} of=${{ batch, piece }} load=${async (choices) => {
    const state = await loadState(`batch/${batch}`);
    const p = state.pieces.find((x) => x.id === piece);
    if (p?.design) return callExtra('fold.decode', { code: p.design.code });
    return p && designFor(p, state.colours, choices);
  }} />`;

/** designFor returns a design to start from for a piece: its garment and fold, the batch's colours in turn. */
function designFor(piece, colours, choices) {
  const choice = choices.folds.find((f) => f.label === piece.fold) || choices.folds.find((f) => f.kind === 'spiral');
  const garment = choices.garments.find((g) => g.garment === piece.kind)?.garment || 'square-60';
  const batchColours = colours.slice(0, 8).map(({ name, rgb }) => ({ name, rgb }));
  const used = batchColours.length ? batchColours : choices.starters[0].colours;
  const a = used.map((_, i) => i);
  const fold = { kind: choice.kind, center: { x: 0, y: 0 }, seed: 1 };
  const name = capitalize(`${choice.words} of ${used.length}`);
  return { name, garment, fold, colours: used, a, b: choice.rope ? [] : [...a], dye: 1.1, bound: choice.rope };
}

const back = { href: '/fold', words: 'Fold' };

/** LoadedFold waits for the program that draws and for the design. */
function LoadedFold({ load, id, of }) {
  const { value: choices, fault } = useData(foldChoices);
  const { value: start, fault: loadFault } = useData(async () => choices && { design: await load(choices) }, [choices]);
  const backLink = of ? { href: `/batch/${of.batch}/pieces`, words: 'Pieces' } : back;
  if (start?.design)
    return html`<${FoldScreen} start=${start.design} choices=${choices} id=${id} of=${of} backLink=${backLink} />`;
  const sub = start ? 'This design is not on this phone.' : 'Loading the drawing …';
  return html`<${Screen} activeTab="shelf" back=${backLink} title="Fold" sub=${!fault && !loadFault && sub}
    fault=${fault || loadFault} />`;
}

const lookOptions = [
  { value: '', words: 'washed and dry' },
  { value: 'wet', words: 'wet in the bag' },
];

/** FoldScreen edits one design. */
function FoldScreen({ start, choices, id, of, backLink }) {
  const [design, setDesign] = useState(start);
  const [more, setMore] = useState(0); // % of dye
  const [look, setLook] = useState('');
  const { value: saved } = useLiveData(loadDesigns);
  const { value: batch } = useLiveData(() => of && batchView(of.batch), [of?.batch]);
  useScreenOn();
  const results = (ownFigures.value.white ? saved?.results || [] : []).map(({ fold, white, effect }) => ({
    fold,
    white,
    effect,
  }));
  const query = { design, results, factor: 1 + more / 100, wet: look === 'wet' };
  const pictures = useClothPictures(query);
  const report = useFoldReport(design, results, squeeze.value);
  const choice = choices.folds.find((f) => f.kind === design.fold.kind);
  const moveCenter = choice.center && ((center) => setDesign((d) => withFoldMeasure(d, { center })));
  const title = design.name;
  return html`<${Screen} activeTab=${of ? 'batches' : 'shelf'} back=${backLink} title=${title} fault=${pictures.fault}
    actions=${html`<${DesignActions} design=${design} id=${id} of=${of} batch=${batch} results=${results}
      label=${choice.label} onName=${(name) => setDesign({ ...design, name })}
      onSaved=${(saved) => !of && navigate(`/fold/design/${saved}`, { replace: true })} />`}>
    <div class="cloth-desk">
      <${ClothPictures} pictures=${pictures} design=${design} onCenter=${moveCenter}>
        White inside: <b>${pictures.picture?.white || '…'}</b></${ClothPictures}>
    </div>
    <${GarmentAndFold} design=${design} choices=${choices} onChange=${setDesign} />
    <${Colouring} design=${design} setDesign=${setDesign} choices=${choices} batch=${batch}
      face=${pictures.picture?.face} />
    <${FoldMeasures} design=${design} choice=${choice} onChange=${setDesign} />
    <${Slider} label="Dye applied"
      words=${more === 0 ? 'as planned' : `${Math.abs(more)} % ${more < 0 ? 'less' : 'more'}`}
      value=${more} min=${-20} max=${20} step=${5} onInput=${setMore}
        ticks=${['20 % less', 'as planned', '20 % more']} />
    <${Chips} label="Show it" value=${look} onChange=${setLook} options=${lookOptions} />
    <${WhiteInside} report=${report} />
    <${FoldCard} report=${report} colours=${design.colours} />
    <${SqueezeField} />
    <details><summary>More options</summary>
      <${DyeMeasures} design=${design} onChange=${setDesign} /></details>
  </${Screen}>`;
}

/** Colouring is the bundle with the palette under it. */
function Colouring({ design, setDesign, choices, batch, face }) {
  const [selected, setSelected] = useState(0);
  const [side, setSide] = useState('a');
  const [both, setBoth] = useState(isAlike(design));
  const isRope = design.b.length === 0;
  const shown = isRope || side === 'a' ? design.a : design.b;
  useEffect(() => {
    if (selected >= design.colours.length) setSelected(0);
  }, [design.colours.length]);
  const add = (colour) => {
    setDesign({ ...design, colours: [...design.colours, clean(colour)] });
    setSelected(design.colours.length);
  };
  const offered = { batch: batch?.colours || [], dyes: choices.dyes };
  return html`<section><h2>Tap the bundle or drag across it</h2>
    ${
      face &&
      html`<${Bundle} face=${face} colours=${design.colours} sections=${shown} turned=${!isRope && side === 'b'}
        onPaint=${(i) => setDesign((d) => withPaint(d, side, i, selected, both && !isRope))} />`
    }
    <${Palette} colours=${design.colours} selected=${selected} onSelect=${setSelected} onAdd=${add}
      offered=${offered} onReplace=${(colour) => setDesign(withColour(design, selected, clean(colour)))} />
    <div class="turn">
      ${
        isRope
          ? html`<p class="sub">A rope is dyed all round.</p>`
          : html`<button type="button" class="button secondary" onClick=${() => setSide(side === 'a' ? 'b' : 'a')}>
              Turn over (now side ${side.toUpperCase()})</button>
            <button type="button" class="chip" aria-pressed=${both}
              onClick=${() => setBoth(!both)}>Same on both sides</button>`
      }
      ${
        selected >= 0 &&
        design.colours.length > 1 &&
        html`<button type="button" class="text-button" onClick=${() => setDesign(withoutColour(design, selected))}>
          Remove ${design.colours[selected]?.name}</button>`
      }
    </div>
  </section>`;
}

/** clean takes over only what a design keeps of a colour. */
const clean = ({ name, rgb, dye, percent }) => (dye ? { name, rgb, dye, percent } : { name, rgb });

/** SqueezeField measures the bottle in place: the design is not saved yet. */
function SqueezeField() {
  const form = useSqueeze();
  return html`<details><summary>Count in squeezes</summary><${SqueezeForm} form=${form} />
    <button type="button" class="button secondary wide" disabled=${!form.canSave} onClick=${form.save}>
      Save what a squeeze gives</button></details>`;
}
