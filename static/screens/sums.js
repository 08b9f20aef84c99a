// Sums: every calculator there is, by stage of the work.
import { html } from '../parts/html.js';
import { call } from '../core/core.js';
import { useData } from '../parts/data-hooks.js';
import { LinkRow } from '../parts/link-row.js';
import { Screen } from '../parts/screen.js';
import { Icon } from '../parts/icons.js';

export function Sums() {
  const { value: list, fault } = useData(() => call('calc.list'));
  return html`<${Screen} here="sums" title="Sums" fault=${fault}
    sub="Each number says where it comes from. All work without a network.">
    <${LinkRow} href="/fold" title="Fold" sub="see it before you dye it: colours, white inside, mL a section" />
    ${stages(list || []).map(
      ({ title, entries }) => html`<section key=${title}><h2>${title}</h2>${entries.map(renderRow)}</section>`,
    )}
  </${Screen}>`;
}

const renderRow = (e) => html`<a class="link-row" href=${`/sums/${e.name}`} key=${e.name}>
  <span><b>${e.title}</b><span class="sub">${e.purpose}</span></span><${Icon} name="on" /></a>`;

/** stages groups the calculators; the core lists them in the order of the work. */
const stages = (list) =>
  [...new Set(list.map((e) => e.group))].map((title) => ({ title, entries: list.filter((e) => e.group === title) }));
