// What is done with a design: save it, use it for pieces, show it as a code, save a file, record how
// it came out.
import { html } from '../parts/html.js';
import { useState } from 'preact/hooks';
import { saveFile } from '../device/save-file.js';
import { showToast } from '../device/toast.js';
import { batchBriefs, batchView } from '../journal/views.js';
import { useAction, useData } from '../parts/data-hooks.js';
import { Dialog } from '../parts/dialog.js';
import { Field } from '../parts/field.js';
import { LinkRow } from '../parts/link-row.js';
import { ErrorBox } from '../parts/messages.js';
import { QRCode } from '../parts/qr-code.js';
import { chooseForPiece, saveDesign, recordResult } from './designs.js';
import { sizedFor } from './edit.js';
import { callExtra } from '../core/extra.js';
import { foldChoices } from './choices.js';

const titles = {
  more: 'This design',
  save: 'Save the design',
  use: 'Use it for pieces',
  code: 'Design as a code',
  result: 'How it came out',
};

/** DesignActions are the two buttons at the bottom of the screen, and their dialogs. */
export function DesignActions(props) {
  const { design, of, batch } = props;
  const [open, setOpen] = useState('');
  const [run, fault, busy] = useAction();
  const close = () => setOpen('');
  const piece = of && batch?.pieces.find((p) => p.id === of.piece);
  const use = () => run(() => choose(props, batch, of.piece));
  return html`
    ${
      of
        ? html`<button type="button" class="button" disabled=${busy || !piece} onClick=${use}>
            Use it for ${piece?.words.split(',')[0] || 'them'}</button>`
        : html`<button type="button" class="button" onClick=${() => setOpen('save')}>Save</button>`
    }
    <button type="button" class="button secondary" onClick=${() => setOpen('more')}>More</button>
    <${ErrorBox} fault=${fault} />
    <${Dialog} open=${Boolean(open)} onClose=${close} title=${titles[open] || ''}>
      ${
        open === 'more' &&
        html`<${MoreRows} design=${design} isSaved=${Boolean(props.id)} onOpen=${setOpen}
        onClose=${close} />`
      }
      ${open === 'save' && html`<${SaveForm} ...${props} done=${close} />`}
      ${open === 'use' && html`<${BatchChoice} ...${props} done=${close} />`}
      ${open === 'code' && html`<${DesignCode} design=${design} />`}
      ${open === 'result' && html`<${ResultForm} ...${props} done=${close} />`}
    </${Dialog}>`;
}

// printAfter prints the screen once the dialog is gone.
function printAfter(close) {
  close();
  setTimeout(print, 50);
}

const MoreRows = ({ design, isSaved, onOpen, onClose }) => html`<div>
  <${LinkRow} title="Save" sub=${isSaved ? 'replaces the saved design, or adds a new one' : 'to use it again'}
    onClick=${() => onOpen('save')} />
  <${LinkRow} title="Use it for pieces" sub="in an open batch; its plan, card and label then use this design"
    onClick=${() => onOpen('use')} />
  <${LinkRow} title="Show as a code" sub="scan it with another phone" onClick=${() => onOpen('code')} />
  <${LinkRow} title="Save as a file" sub="to send to someone"
    onClick=${() => saveDesignFile(design).then((ok) => ok && onClose())} />
  <${LinkRow} title="How it came out" sub="improves the next estimate for this fold"
    onClick=${() => onOpen('result')} />
  <${LinkRow} title="Print" sub="the picture and the card for the table" onClick=${() => printAfter(onClose)} />
</div>`;

/** SaveForm asks for the name; a saved design is replaced, or saved as another. */
function SaveForm({ design, id, onName, onSaved, done }) {
  const [name, setName] = useState(design.name);
  const [run, fault, busy] = useAction();
  const save = (as) =>
    run(async () => {
      const named = { ...design, name: name.trim() };
      const saved = await saveDesign(named, as);
      onName(named.name);
      done();
      onSaved(saved);
    });
  const isDisabled = busy || !name.trim();
  return html`<div><${Field} label="Name" value=${name} onInput=${setName} />
    <${ErrorBox} fault=${fault} />
    ${
      id &&
      html`<button type="button" class="button secondary wide" disabled=${isDisabled} onClick=${() => save(undefined)}>
        Save as a new design</button>`
    }
    <button type="button" class="button wide" disabled=${isDisabled}
      onClick=${() => save(id)}>${id ? 'Save' : 'Save design'}</button>
  </div>`;
}

async function choose({ design, results, label }, batch, piece) {
  const added = await chooseForPiece(design, { batch, piece, results, label });
  if (added.length) showToast(`Added to the batch: ${added.join(', ')}. Check each strength`);
}

/** garmentWords returns a garment in words: "tee, large", "60 × 90 cm". */
const garmentWords = (garment, choices) =>
  choices?.garments.find((g) => g.garment === garment)?.words || `${garment.replace('x', ' × ')} cm`;

/** BatchChoice lists the pieces of the open batches. */
function BatchChoice(props) {
  const { value: choices } = useData(foldChoices);
  const { value: briefs, fault } = useData(batchBriefs);
  const { value: batches } = useData(
    async () => briefs && Promise.all(briefs.filter((b) => b.open).map((b) => batchView(b.id))),
    [briefs],
  );
  const [run, chooseFault, busy] = useAction();
  const pick = (batch, piece) =>
    run(async () => {
      const { garments } = await foldChoices();
      await choose({ ...props, design: sizedFor(props.design, piece.kind, garments) }, batch, piece.id);
      props.done();
    });
  return html`<div>
    <p class="sub">A tee, a pillowcase and the like get the design and its amounts at their own size,
      anything else as a ${garmentWords(props.design.garment, choices)}.</p>
    <${ErrorBox} fault=${fault || chooseFault} />
    ${batches?.every((b) => b.pieces.length === 0) && html`<p>No open batch has pieces yet.</p>`}
    ${batches?.map((b) =>
      b.pieces.map(
        (p) => html`<${LinkRow} key=${p.id} onClick=${() => busy || pick(b, p)} title=${p.words} sub=${b.name} />`,
      ),
    )}
  </div>`;
}

/** DesignCode shows the design as a QR code: an address that this app opens. */
function DesignCode({ design }) {
  const { value, fault } = useData(() => callExtra('fold.encode', design), [design]);
  return html`<div><${ErrorBox} fault=${fault} />
    ${
      value &&
      html`<${QRCode} text=${`${location.origin}/fold/code/${value.code}`}
      label=${`The design ${design.name}`} />`
    }
    <p class="sub">Scan it with the app on another phone: garment, fold and colours come with it.</p></div>`;
}

// saveDesignFile hands over the design as a small file.
async function saveDesignFile(design) {
  const { code } = await callExtra('fold.encode', design);
  const text = JSON.stringify({ coldbatch: 'design', version: 1, name: design.name, code });
  const name = design.name.toLowerCase().replace(/[^a-z0-9]+/g, '-') || 'design';
  return saveFile(new File([text], `coldbatch-${name}.json`, { type: 'application/json' }));
}

const whiteShares = [
  { value: 0, words: 'none' },
  { value: 0.05, words: 'a few lines' },
  { value: 0.1, words: 'a tenth' },
  { value: 0.25, words: 'a quarter' },
  { value: 0.5, words: 'half' },
];

/** ResultForm asks how much stayed white. */
function ResultForm({ design, id, done }) {
  const [run, fault, busy] = useAction();
  const save = (share) =>
    run(async () => {
      await recordResult(design, id, share);
      done();
    });
  return html`<div>
    <p>Once a piece dyed to this design is washed and dry: how much of its cloth is white where it should not be?</p>
    <div class="options">${whiteShares.map(
      (s) => html`<button type="button" class="tile" key=${s.value} disabled=${busy} onClick=${() => save(s.value)}>
        <span class="capitalized">${s.words}</span></button>`,
    )}</div>
    <${ErrorBox} fault=${fault} />
    <p class="sub">Count the front and the back. Leave out bands that you bound to keep them white.</p>
  </div>`;
}
