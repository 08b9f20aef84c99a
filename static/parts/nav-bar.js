// The bar at the bottom: the five places of the app.
import { html } from './html.js';
import { Icon } from './icons.js';

const destinations = [
  ['/', 'Today', 'today'],
  ['/batches', 'Batches', 'batches'],
  ['/scan', 'Scan', 'scan'],
  ['/sums', 'Sums', 'sums'],
  ['/shelf', 'Shelf', 'shelf'],
];

/** NavBar marks the place that the screen belongs to. */
export const NavBar = ({ here }) =>
  html`<nav class="bar" aria-label="Main">${destinations.map(
    ([href, words, icon]) => html`<a href=${href} aria-current=${here === icon ? 'page' : undefined}>
  <${Icon} name=${icon} /><span>${words}</span></a>`,
  )}</nav>`;
