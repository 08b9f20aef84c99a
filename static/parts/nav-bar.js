// The navigation bar at the bottom.
import { html } from './html.js';
import { Icon } from './icons.js';

const destinations = [
  ['/', 'Today', 'today'],
  ['/batches', 'Batches', 'batches'],
  ['/scan', 'Scan', 'scan'],
  ['/sums', 'Sums', 'sums'],
  ['/shelf', 'Shelf', 'shelf'],
];

/** NavBar highlights the tab that the screen belongs to. */
export const NavBar = ({ activeTab }) =>
  html`<nav class="bar" aria-label="Main">${destinations.map(
    ([href, words, icon]) => html`<a href=${href} aria-current=${activeTab === icon ? 'page' : undefined}>
  <${Icon} name=${icon} /><span>${words}</span></a>`,
  )}</nav>`;
