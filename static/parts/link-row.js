// A row that opens something: a link, or a button if only onClick is given.
import { html } from './html.js';
import { Icon } from './icons.js';

/** LinkRow shows a title with a line under it and an icon at the end; children replace the text. */
export const LinkRow = ({ href, onClick, title, sub, icon = 'next', current, children }) => html`
  <${href ? 'a' : 'button'} type=${href ? undefined : 'button'} class="link-row" href=${href}
    aria-current=${current ? 'true' : undefined} onClick=${onClick}>
    ${children || html`<span><b class="capitalized">${title}</b>${sub && html`<span class="sub">${sub}</span>`}</span>`}
    <${Icon} name=${icon} />
  </${href ? 'a' : 'button'}>`;
