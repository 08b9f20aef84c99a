// A small drawing of each fold, so that a card is known at a glance.
import { html } from './html.js';

const drawings = {
  spiral: 'M20 20c0-3 5-3 5 1s-8 5-9-1 7-11 13-6 4 17-7 18-18-9-14-18 15-12 23-4',
  crumple: 'M6 24l7-12 6 9 7-13 8 16-9 8-8-7-6 7z M13 12l6 9 7 4 M26 8l-7 13',
  stripes: 'M8 6v28M14 6v28M20 6v28M26 6v28M32 6v28',
  rings:
    'M16 20a4 4 0 1 0 8 0a4 4 0 1 0-8 0M11 20a9 9 0 1 0 18 0a9 9 0 1 0-18 0M6 20a14 14 0 1 0 28 0a14 14 0 1 0-28 0',
  wedge: 'M6 34L20 6l14 28z M13 34l7-28 7 28',
  square: 'M7 7h26v26H7z M20 7v26M7 20h26',
  triangle: 'M7 33V7l26 26z M7 20l13 13M20 20v13',
  stitched: 'M6 14q7-8 14 0t14 0M6 26q7-8 14 0t14 0M6 20h4M14 20h4M22 20h4M30 20h4',
  knotted: 'M6 30c8 0 10-6 14-10s6-10 14-10M6 10c8 0 10 6 14 10s6 10 14 10M16 16h8v8h-8z',
  pole: 'M14 5h12v30H14z M14 12l12-5M14 19l12-5M14 26l12-5M14 33l12-5',
  flat: 'M6 10h28v20H6z',
};

/** FoldPicture draws a fold; it draws an unknown fold as flat cloth. */
export const FoldPicture = ({ fold }) => html`<svg class="fold-picture icon" viewBox="0 0 40 40" aria-hidden="true">
  <path d=${drawings[fold] || drawings.flat} /></svg>`;
