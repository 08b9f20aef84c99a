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

/** readinessLooks has the icon and the tone of each readiness. */
const readinessLooks = {
  ready: { icon: 'tick', tone: 'done' },
  'not yet': { icon: 'wait', tone: 'wet' },
  opened: { icon: 'dash', tone: 'plain' },
  unknown: { icon: 'unknown', tone: 'care' },
};

export function ShelfCheck() {
  const [foreign, setForeign] = useState(); // the text of a code that is no label
  const [lastScan, setLastScan] = useState(/** @type {{number?: string, again?: boolean}} */ ({})); // of the last scan
  const { fault } = useLiveData(refreshBags);
  useScreenOn();
  const rows = scannedBags.value;
  const scan = async (text) => {
    setForeign(undefined);
    setLastScan({});
    const found = await classifyCode(text);
    if (found.kind !== 'bag' && found.kind !== 'blank') return setForeign(found.text ?? text);
    const isNew = await addBag(found.code);
    setLastScan({ number: found.number, again: !isNew });
    return isNew;
  };
  const clear = () => {
    const restore = clearBags();
    setLastScan({});
    showToast('List cleared', 'Undo', () => {
      restore();
      showToast('List restored');
    });
  };
  return html`<${Screen} activeTab="scan" back=${{ href: '/scan', words: 'Scan' }} title="Check the shelf"
    fault=${fault}
    sub=${rows.length === 0 && 'Scan one bag after the other. Each is a row here, even without a network.'}>
    <${CodeScanner} onCode=${scan} words=${rows.length ? 'Keep scanning' : 'Start scanning'} allCodes />
    ${foreign !== undefined && html`<${ForeignCode} text=${foreign} />`}
    <p class="visually-hidden" role="status">
      ${lastScan.number && `Bag ${lastScan.number}${lastScan.again ? ': already counted' : ''}`}</p>
    ${
      rows.length > 0 &&
      html`<section class="compact"><${Counts} rows=${rows} />
        <ul class="tags">${rows.map(
          (row, i) => html`<li key=${row.key}><${BagRow} row=${row} again=${lastScan.again && i === 0} /></li>`,
        )}</ul>
        <button type="button" class="button secondary small wide" onClick=${clear}>Clear the list</button></section>`
    }
  </${Screen}>`;
}

/** Counts shows how many bags there are, and how many of each readiness. */
function Counts({ rows }) {
  const counts = {};
  for (const { found } of rows) {
    const words = found?.bag.readiness;
    if (words) counts[words] = (counts[words] || 0) + 1;
  }
  return html`<h2 class="count-heading">${rows.length === 1 ? '1 bag' : `${rows.length} bags`}</h2>
    <ul class="counts">${Object.entries(readinessLooks)
      .filter(([words]) => counts[words])
      .map(
        ([words, { icon, tone }]) => html`<li key=${words} class=${`tone-${tone}`}>
          <${Icon} name=${icon} /><b>${counts[words]}</b> ${words}</li>`,
      )}</ul>`;
}

/** BagRow shows one bag: its number, colours and state; again says that it was scanned before. */
function BagRow({ row, again }) {
  const { found } = row;
  if (!found) return null;
  const { bag, from, blank } = found;
  const words = bag.readiness;
  const { icon, tone } = readinessLooks[words];
  const href = from === 'phone' ? `/bag/${found.batch}/${found.id}` : `/b/${row.code}`;
  const when = blank ? 'blank, on no bag here' : keepUnits(bag.when || bag.headline);
  return html`<${Tag} href=${href}><div class="tag-body"><span class="visually-hidden">Bag </span><${BagNumber}
    bag=${bag} />
    <span class="split-line"><span class=${`state mark tone-${tone}`}><${Icon}
      name=${icon} />${capitalize(words)}</span>
      <span class="swatch-row">${bag.colours.map(
        (c) => html`<${Swatch} key=${c.id || c.caps} colour=${c} small />`,
      )}</span>
    </span>
    <span class="split-line"><span class="when">${when}</span>
      ${from === 'label' && !blank && html`<span class="when">as printed</span>`}
      ${again && html`<b>already counted</b>`}</span>
  </div></${Tag}>`;
}
