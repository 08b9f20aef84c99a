// The html template tag, for every part and screen.
import { h } from 'preact';
import htm from 'htm';

export const html = htm.bind(h);

/** classes joins class names and leaves out values that are false, null or empty. */
export const classes = (...names) => names.filter(Boolean).join(' ');

/** keepUnits keeps a number and its unit on one line. */
export const keepUnits = (text) =>
  text
    ? text
        .replace(/(\d) (?=(°|g|mg|kg|mL|L|h|min|oz|lb|gal|fl|%)(?![a-z]))/g, '$1\u00a0')
        .replace(/fl oz/g, 'fl\u00a0oz')
    : '';

/** capitalize begins a sentence of the core with a capital letter; pH stays pH. */
export const capitalize = (text) =>
  text ? keepUnits(/^.[A-Z]/.test(text) ? text : text[0].toUpperCase() + text.slice(1)) : '';
