// The icons, all with the same line width: 28 by 24, no fill.
import { html } from './html.js';

const paths = {
  today: 'M4 12 9 5h15v14H9z M10.5 11.9v.2',
  batches: 'M4 6h20M4 12h20M4 18h13',
  scan: 'M4 8V4h5M19 4h5v4M24 16v4h-5M9 20H4v-4M9 9h3v3H9zM16 9h3v3h-3zM9 14.5h3v1.5M16 14.5h3v1.5',
  sums: 'M14 4v16M7 20h14M6 7l8-2 8 2M2.6 14.5 6 7l3.4 7.5zM18.6 14.5 22 7l3.4 7.5z',
  shelf: 'M2 20h24M5 20v-9h6v9M14 20V6h4v14M20 20v-7h4v7',
  back: 'M17 4 9 12l8 8',
  next: 'M11 4l8 8-8 8',
  delete: 'M10 5h14v14H10L3 12zM13.5 9l6 6M19.5 9l-6 6',
  plus: 'M14 4v16M6 12h16',
  tick: 'M5 13l6 6L23 5',
  warm: 'M12 14V5.5a2.5 2.5 0 0 1 5 0V14a4.5 4.5 0 1 1-5 0zM14.5 9v8',
  print: 'M8 9V4h12v5M8 16H4V9h20v7h-4M8 13.5h12V20H8z',
  tag: 'M3 12 8 5h17v14H8z M9.5 11.9v.2',
  camera: 'M3 8h6l2-3h6l2 3h6v11H3zM14 9.5a4 4 0 1 0 0 8 4 4 0 0 0 0-8z',
  dash: 'M7 12h14',
  unknown: 'M9.5 9a4.5 4.5 0 1 1 6.6 4c-1.4.7-2.1 1.4-2.1 3M14 19.6v.3',
  light: 'M10 4h8l-1.5 6v10h-5V10zM10.4 7h7.2M14 12.5v2',
  cross: 'M8 6l12 12M20 6 8 18',
  share: 'M10 9H7v11h14V9h-3M14 15V3M10 6.5 14 3l4 3.5',
  wait: 'M14 3.5a8.5 8.5 0 1 0 0 17 8.5 8.5 0 0 0 0-17zM14 7.5V12l3 2.5',
};

/** Icon draws one of the icons. Screen readers skip it, so it always needs text beside it. */
export const Icon = ({ name }) =>
  html`<svg class="icon" viewBox="0 0 28 24" aria-hidden="true"><path d=${paths[name]} /></svg>`;
