// Check the shelf: scan one bag after the other; each is a row that says whether it is
// ready.
import { html, capitalize, keepUnits } from '../parts/html.js';
import { useState } from 'preact/hooks';
import { showToast } from '../device/toast.js';
import { useScreenOn } from '../device/wake-lock.js';
import { classifyCode } from '../scan/scanned-code.js';
import { addBag, clearBags, refreshBags, scannedBags } from '../scan/shelf-check.js';
import { BagNumber, Tag } from '../parts/bag-tag.js';
import { CodeScanner } from '../parts/code-scanner.js';
import { useLiveData } from '../parts/data-hooks.js';
import { ForeignCode } from '../parts/foreign-code.js';
import { Icon } from '../parts/icons.js';
import { Screen } from '../parts/screen.js';
import { Swatch } from '../parts/swatch.js';

/** readinessLooks are the icon and the tone of each readiness. */
const readinessLooks = {
  ready: { icon: 'tick', tone: 'done' },
  'not yet': { icon: 'wait', tone: 'wet' },
  opened: { icon: 'dash', tone: 'plain' },
  unknown: { icon: 'unknown', tone: 'care' },
};

export function ShelfCheck() {
  const [foreign, setForeign] = useState(); // the text of a code that is no label
  const [last, setLast] = useState(/** @type {{number?: string, again?: boolean}} */ ({})); // of the last scan
  const { fault } = useLiveData(refreshBags);
  useScreenOn();
  const rows = scannedBags.value;
  const scan = async (text) => {
    setForeign(undefined);
    setLast({});
    const found = await classifyCode(text);
    if (found.kind !== 'bag' && found.kind !== 'blank') return setForeign(found.text ?? text);
    const isNew = await addBag(found.code);
    setLast({ number: found.number, again: !isNew });
    return isNew;
  };
  const clear = () => {
    const restore = clearBags();
    setLast({});
    showToast('List cleared', 'Undo', () => {
      restore();
      showToast('List restored');
    });
  };
  return html`<${Screen} here="scan" back=${{ href: '/scan', words: 'Scan' }} title="Check the shelf" fault=${fault}
    sub=${rows.length === 0 && 'Scan one bag after the other. Each is a row here, also without network.'}>
    <${CodeScanner} onCode=${scan} words=${rows.length ? 'Go on scanning' : 'Start scanning'} many />
    ${foreign !== undefined && html`<${ForeignCode} text=${foreign} />`}
    <p class="aside" role="status">${last.number && `Bag ${last.number}${last.again ? ': counted already' : ''}`}</p>
    ${
      rows.length > 0 &&
      html`<section class="close"><${Counts} rows=${rows} />
        <ul class="tags">${rows.map(
          (row, i) => html`<li key=${row.key}><${BagRow} row=${row} again=${last.again && i === 0} /></li>`,
        )}</ul>
        <button type="button" class="act secondary small wide" onClick=${clear}>Clear the list</button></section>`
    }
  </${Screen}>`;
}

/** Counts says how many bags there are, and how many of each readiness. */
function Counts({ rows }) {
  const counts = {};
  for (const { found } of rows) {
    const words = found?.bag.readiness;
    if (words) counts[words] = (counts[words] || 0) + 1;
  }
  return html`<h2 class="count">${rows.length === 1 ? '1 bag' : `${rows.length} bags`}</h2>
    <ul class="counts">${Object.entries(readinessLooks)
      .filter(([words]) => counts[words])
      .map(
        ([words, { icon, tone }]) => html`<li key=${words} class=${`tone-${tone}`}>
          <${Icon} name=${icon} /><b>${counts[words]}</b> ${words}</li>`,
      )}</ul>`;
}

/** BagRow is one bag: its number, its colours, how it stands; again says that it was scanned once more. */
function BagRow({ row, again }) {
  const { found } = row;
  if (!found) return null;
  const { bag, from, blank } = found;
  const words = bag.readiness;
  const { icon, tone } = readinessLooks[words];
  const href = from === 'phone' ? `/bag/${found.batch}/${found.id}` : `/b/${row.code}`;
  const when = blank ? 'blank, on no bag here' : keepUnits(bag.when || bag.headline);
  return html`<${Tag} href=${href}><div class="line"><span class="aside">Bag </span><${BagNumber} bag=${bag} />
    <span class="spread"><span class=${`state mark tone-${tone}`}><${Icon} name=${icon} />${capitalize(words)}</span>
      <span class="cloths">${bag.colours.map(
        (c) => html`<${Swatch} key=${c.id || c.caps} colour=${c} little />`,
      )}</span>
    </span>
    <span class="spread"><span class="when">${when}</span>
      ${from === 'label' && !blank && html`<span class="when">as printed</span>`}
      ${again && html`<b>counted already</b>`}</span>
  </div></${Tag}>`;
}
