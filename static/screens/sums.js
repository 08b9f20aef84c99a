// Sums: every calculator there is.
import { html } from '../parts/html.js';
import { call } from '../core/core.js';
import { useAsk } from '../parts/data-hooks.js';
import { Screen } from '../parts/screen.js';
import { Icon } from '../parts/icons.js';

export function Sums() {
  const { value: list, fault } = useAsk(() => call('calc.list'));
  return html`<${Screen} here="sums" title="Sums" sub="Each number says where it comes from. All work without a network." fault=${fault}>
    ${list?.map((e) => html`<a class="link-row" href=${`/sums/${e.name}`} key=${e.name}><span><b>${e.title}</b><span class="sub">${e.purpose}</span></span><${Icon} name="on" /></a>`)}
  </${Screen}>`;
}
