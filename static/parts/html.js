// Markup as a tagged template, for every part and screen.
import {h} from 'preact';
import htm from 'htm';

export const html = htm.bind(h);

/** classes joins class names; what is false, null or empty is left out. */
export const classes = (...names) => names.filter(Boolean).join(' ');

/** first writes a sentence of the core with a capital letter, as on a page. */
export const first = text => text ? text[0].toUpperCase() + text.slice(1) : '';
