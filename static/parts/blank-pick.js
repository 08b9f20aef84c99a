// The numbered blank on a bag: its number is typed, or its code scanned.
import {html} from './html.js';
import {useState, useEffect} from 'preact/hooks';
import {findBlank} from '/find.js';
import {told} from '/fault.js';
import {Camera} from './camera.js';
import {Field} from './field.js';

/**
 * BlankPick asks for a blank of the batch. onPick gets its number once one is named
 * that is free, else an empty text. free says which are; first is what was scanned
 * before the screen opened.
 */
export function BlankPick({batch, free, onPick, first = ''}) {
  const [typed, type] = useState(first);
  const [wrong, tell] = useState(null);
  const look = async text => {
    const {number, letter = ''} = await findBlank(batch, text);
    return `${number}${letter}`;
  };
  useEffect(() => {
    tell(null);
    onPick('');
    if (!typed.trim()) return;
    let here = true;
    look(typed).then(number => here && onPick(number), err => here && tell(told(err)));
    return () => { here = false; };
  }, [typed, free]);
  const scanned = async text => {
    try { type(await look(text)); } catch (err) { tell(told(err)); return false; }
  };
  return html`<div class="blank-pick">
    <${Field} label="Number on the label" help=${free} value=${typed} onInput=${type} wrong=${wrong} inputmode=${/\d[A-Z]/.test(free || '') ? undefined : 'numeric'} enterkeyhint="done" />
    <${Camera} onCode=${scanned} words="Scan the label" /></div>`;
}
