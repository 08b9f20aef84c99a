// Designs: saved ones, and twelve ready-made ones.
import { html, capitalize } from '../parts/html.js';
import { useEffect, useRef, useState } from 'preact/hooks';
import { asFault, Fault } from '../core/fault.js';
import { navigate } from '../device/router.js';
import { useData, useLiveData } from '../parts/data-hooks.js';
import { ErrorBox } from '../parts/messages.js';
import { Screen } from '../parts/screen.js';
import { loadDesigns, removeDesign } from '../fold/designs.js';
import { paintCloth } from '../fold/cloth-pictures.js';
import { callExtra, callExtraWithBytes } from '../core/extra.js';
import { foldChoices } from '../fold/choices.js';

export function Designs() {
  const { value: choices, fault } = useData(foldChoices);
  const { value: saved, fault: savedFault } = useLiveData(loadDesigns);
  const [fileFault, setFileFault] = useState(/** @type {any} */ (null));
  const open = (file) => openDesignFile(file).catch((err) => setFileFault(asFault(err)));
  return html`<${Screen} activeTab="shelf" back=${{ href: '/shelf', words: 'Shelf' }} title="Fold"
    fault=${fault || savedFault}
    sub="See a piece before you dye it: where each colour lands, what stays white, and how much dye goes where.">
    ${
      saved?.designs.length > 0 &&
      html`<section><h2>Your designs</h2><div class="designs">${saved.designs.map(
        (d) => html`<${SavedTile} key=${d.id} saved=${d} />`,
      )}</div></section>`
    }
    <section><h2>Ready-made</h2>
      ${!choices && !fault && html`<p class="sub">Loading the drawings …</p>`}
      <div class="designs">${choices?.starters.map(
        (d) => html`<${DesignTile} key=${d.name} design=${d} href=${`/fold/start/${encodeURIComponent(d.name)}`} />`,
      )}</div></section>
    <section><h2>From someone else</h2>
      <p class="sub">Scan its code, or open its file.</p>
      <${ErrorBox} fault=${fileFault} />
      <label class="button secondary wide file-act">Open a file
        <input type="file" accept=".json,application/json"
          onChange=${(e) => e.target.files[0] && open(e.target.files[0])} /></label>
    </section>
  </${Screen}>`;
}

// openDesignFile shows the design in a file that was saved by the app.
async function openDesignFile(file) {
  const badFile = new Fault({
    code: 'input',
    sentence: `“${file.name}” is not a design file`,
    hint: 'choose a file saved with “Save as a file”',
  });
  if (file.size > 20e3) throw badFile;
  let content;
  try {
    content = JSON.parse(await file.text());
  } catch {
    throw badFile;
  }
  if (content?.coldbatch !== 'design' || typeof content.code !== 'string') throw badFile;
  await callExtra('fold.decode', { code: content.code });
  navigate(`/fold/code/${content.code}`);
}

function SavedTile({ saved }) {
  const { value: design, fault } = useData(() => callExtra('fold.decode', { code: saved.code }), [saved.code]);
  return html`<div>
    ${design && html`<${DesignTile} design=${{ ...design, name: saved.name }} href=${`/fold/design/${saved.id}`} />`}
    <${ErrorBox} fault=${fault} />
    <button type="button" class="text-button" onClick=${() => removeDesign(saved)}>Remove</button></div>`;
}

const tileSize = 112; // pixels

/** DesignTile is a small picture of the front with the design's name. */
function DesignTile({ design, href }) {
  const canvas = useRef(/** @type {HTMLCanvasElement | null} */ (null));
  useEffect(() => {
    let isMounted = true;
    callExtraWithBytes('fold.draw', { design, results: [], size: tileSize }).then(
      ({ value, bytes }) => {
        if (isMounted && bytes) paintCloth(canvas.current, value.size, bytes.subarray(0, 4 * value.size * value.size));
      },
      () => undefined, // a tile without its picture still has its name
    );
    return () => {
      isMounted = false;
    };
  }, [design.name]);
  return html`<a class="design" href=${href}><canvas ref=${canvas} width=${tileSize} height=${tileSize}
    aria-hidden="true" />
    <b>${design.name}</b><small>${capitalize(design.fold.kind.replaceAll('-', ' '))}</small></a>`;
}
