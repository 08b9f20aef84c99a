// Designs: those of the house, and twelve to start from.
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
  const { value: kept, fault: keptFault } = useLiveData(loadDesigns);
  const [fileFault, setFileFault] = useState(/** @type {any} */ (null));
  const open = (file) => openDesignFile(file).catch((err) => setFileFault(asFault(err)));
  return html`<${Screen} activeTab="shelf" back=${{ href: '/shelf', words: 'Shelf' }} title="Fold"
    fault=${fault || keptFault}
    sub="See a piece before you dye it: where the colours come, what stays white, how much dye goes where.">
    ${
      kept?.designs.length > 0 &&
      html`<section><h2>Yours</h2><div class="designs">${kept.designs.map(
        (d) => html`<${KeptTile} key=${d.id} kept=${d} />`,
      )}</div></section>`
    }
    <section><h2>To start from</h2>
      ${!choices && !fault && html`<p class="sub">Fetching what draws them …</p>`}
      <div class="designs">${choices?.starters.map(
        (d) => html`<${DesignTile} key=${d.name} design=${d} href=${`/fold/start/${encodeURIComponent(d.name)}`} />`,
      )}</div></section>
    <section><h2>From somebody else</h2>
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
  const wrong = new Fault({
    code: 'input',
    sentence: `“${file.name}” is not the file of a design`,
    hint: 'choose a file that “Save as a file” made',
  });
  if (file.size > 20e3) throw wrong;
  let said;
  try {
    said = JSON.parse(await file.text());
  } catch {
    throw wrong;
  }
  if (said?.coldbatch !== 'design' || typeof said.code !== 'string') throw wrong;
  await callExtra('fold.decode', { code: said.code });
  navigate(`/fold/code/${said.code}`);
}

function KeptTile({ kept }) {
  const { value: design, fault } = useData(() => callExtra('fold.decode', { code: kept.code }), [kept.code]);
  return html`<div class="kept">
    ${design && html`<${DesignTile} design=${{ ...design, name: kept.name }} href=${`/fold/design/${kept.id}`} />`}
    <${ErrorBox} fault=${fault} />
    <button type="button" class="text-button" onClick=${() => removeDesign(kept)}>Remove</button></div>`;
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
