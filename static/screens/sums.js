// Sums: all calculators, by stage of the work.
import { html } from '../parts/html.js';
import { callExtra } from '../core/extra.js';
import { useData } from '../parts/data-hooks.js';
import { LinkRow } from '../parts/link-row.js';
import { Screen } from '../parts/screen.js';
import { Icon } from '../parts/icons.js';

export function Sums() {
  const { value: list, fault } = useData(() => callExtra('calc.list', {}));
  return html`<${Screen} activeTab="sums" title="Sums" fault=${fault}
    sub="Every number has its source. All of them work without a network.">
    <${LinkRow} href="/fold" title="Fold" sub="see it before you dye it: colours, white inside, mL a section" />
    ${stages(list || []).map(
      ({ title, entries }) => html`<section key=${title}><h2>${title}</h2>${entries.map(renderRow)}</section>`,
    )}
  </${Screen}>`;
}

const renderRow = (entry) => html`<a class="link-row" href=${`/sums/${entry.name}`} key=${entry.name}>
  <span><b>${entry.title}</b><span class="sub">${entry.purpose}</span></span><${Icon} name="next" /></a>`;

/** stages groups the calculators; the core lists them in the order of the work. */
const stages = (list) =>
  [...new Set(list.map((entry) => entry.group))].map((title) => ({
    title,
    entries: list.filter((entry) => entry.group === title),
  }));
