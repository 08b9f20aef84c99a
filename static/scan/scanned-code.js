// Finds out what a scanned or pasted code is.
import { call } from '../core/core.js';
import { hasCode } from '../core/fault.js';
import { coreEnv } from '../journal/env.js';

/** unescaped returns a part of an address without its escapes, or unchanged if its escapes are broken. */
function unescaped(part) {
  try {
    return decodeURIComponent(part);
  } catch {
    return part; // a foreign code: the screen says so
  }
}

// classifyCode returns {kind, path, …}: "bag" and "blank" are labels of this program, from any house,
// with {code, token, number}; "join" is an invitation or the code of a shared batch; "design" is a design of a fold;
// "foreign" is
// anything else, with its text. path is the screen for it; a foreign code has none.
export async function classifyCode(text) {
  const [, code] = /^https?:\/\/[^/]+\/join\/([^/?#]+)\/?$/i.exec(text.trim()) || [];
  if (code && (await isJoinCode(unescaped(code)))) return { kind: 'join', path: `/join/${code}` };
  const [, design] = /^https?:\/\/[^/]+\/fold\/code\/([\w-]{20,2000})\/?$/.exec(text.trim()) || [];
  if (design) return { kind: 'design', path: `/fold/code/${design}` };
  try {
    const { bag, token, blank } = await call('label.view', { address: text, env: await coreEnv() });
    return { kind: blank ? 'blank' : 'bag', code: bag.code, number: bag.number, token, path: `/b/${bag.code}` };
  } catch (err) {
    if (!hasCode(err, 'input')) throw err;
    return { kind: 'foreign', text: sanitizeText(text) };
  }
}

// isJoinCode says whether a text is a code with which a phone can join.
async function isJoinCode(typed) {
  try {
    await call('code.parse', { typed });
    return true;
  } catch (err) {
    if (!hasCode(err, 'input')) throw err;
    return false;
  }
}

// sanitizeText makes a stranger's text safe to show: shortened, and without characters that reverse
// or hide the text around it.
function sanitizeText(text) {
  const clean = text.replace(/[\p{Cc}\p{Cf}\p{Co}\p{Cs}]+/gu, ' ').trim();
  const characters = [...clean];
  return characters.length > 160 ? `${characters.slice(0, 160).join('')}…` : clean;
}
