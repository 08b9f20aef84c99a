// The numbered blank on a bag: its number is typed, or its code scanned.
import { html } from './html.js';
import { useState, useEffect } from 'preact/hooks';
import { findBlank } from '../journal/find.js';
import { asFault } from '../core/fault.js';
import { CodeScanner } from './code-scanner.js';
import { Field } from './field.js';

/** bagNumberFor is the number of a bag by what BlankPicker gave; none while what is typed names no blank. */
export const bagNumberFor = (blank, next) => (blank === null ? '' : blank || next);

/**
 * BlankPicker asks for a blank of the batch. onPick gets its number once one is named
 * that is free, an empty text where none is typed, and null while what is typed names
 * none. free says which are, lettered that some of their numbers have a letter; first is
 * what was scanned before the screen opened, and other the number that the bag gets
 * without a blank.
 */
export function BlankPicker({ batch, free, lettered, onPick, first = '', other }) {
  const [typed, type] = useState(first);
  const [wrong, tell] = useState(/** @type {import('../core/fault.js').Fault | null} */ (null));
  const look = async (text) => {
    const { number, letter = '' } = await findBlank(batch, text);
    return `${number}${letter}`;
  };
  useEffect(() => {
    tell(null);
    onPick(typed.trim() ? null : '');
    if (!typed.trim()) return;
    let here = true;
    look(typed).then(
      (number) => here && onPick(number),
      (err) => here && tell(asFault(err)),
    );
    return () => {
      here = false;
    };
  }, [typed, free]);
  const scanned = async (text) => {
    try {
      type(await look(text));
    } catch (err) {
      tell(asFault(err));
      return false;
    }
    return true;
  };
  return html`<div class="blank-pick">
    <${Field} label="Number on the label" help=${free} value=${typed} onInput=${type} wrong=${wrong}
      inputmode=${lettered ? undefined : 'numeric'} enterkeyhint="done" />
    ${
      wrong &&
      typed &&
      other &&
      html`<button type="button" class="plain" onClick=${() => type('')}>No blank: bag ${other}</button>`
    }
    <${CodeScanner} onCode=${scanned} words="Scan the label" /></div>`;
}
