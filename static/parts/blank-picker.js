// The numbered blank on a bag: its number is typed, or its code scanned.
import { html } from './html.js';
import { useState, useEffect } from 'preact/hooks';
import { findBlank } from '../journal/find.js';
import { asFault } from '../core/fault.js';
import { CodeScanner } from './code-scanner.js';
import { Field } from './field.js';
import { Keys } from './number-pad.js';

/** bagNumberFor returns a bag's number from what BlankPicker gave; '' while the typed text names no blank. */
export const bagNumberFor = (blank, next) => (blank === null ? '' : blank || next);

/**
 * BlankPicker asks for a blank of the batch. It calls onPick with the number of a free
 * blank, with '' while the field is empty, and with null while the typed text names no
 * free blank. free says which blanks are free; hasLetters is true if some of their numbers
 * have a letter; initial is the number that was scanned before the screen opened; nextNumber is
 * the number that the bag gets without a blank.
 */
export function BlankPicker({ batch, free, hasLetters, onPick, initial = '', nextNumber }) {
  const [typed, setTyped] = useState(initial);
  const [fault, setFault] = useState(/** @type {import('../core/fault.js').Fault | null} */ (null));
  const findNumber = async (text) => {
    const { number, letter = '' } = await findBlank(batch, text);
    return `${number}${letter}`;
  };
  useEffect(() => {
    setFault(null);
    onPick(typed.trim() ? null : '');
    if (!typed.trim()) return;
    let isCurrent = true;
    findNumber(typed).then(
      (number) => isCurrent && onPick(number),
      (err) => isCurrent && setFault(asFault(err)),
    );
    return () => {
      isCurrent = false;
    };
  }, [typed, free]);
  const handleCode = async (text) => {
    try {
      setTyped(await findNumber(text));
    } catch (err) {
      setFault(asFault(err));
      return false;
    }
    return true;
  };
  return html`<div>
    <${Field} label="Number on the label" help=${free} value=${typed} onInput=${setTyped} fault=${fault}
      inputmode="none" enterkeyhint="done" />
    <${Keys} label="Number on the label" value=${typed} onInput=${setTyped} letters=${hasLetters} />
    ${
      fault &&
      typed &&
      nextNumber &&
      html`<button type="button" class="text-button" onClick=${() => setTyped('')}>No blank: bag ${nextNumber}</button>`
    }
    <${CodeScanner} onCode=${handleCode} words="Scan the label" /></div>`;
}
