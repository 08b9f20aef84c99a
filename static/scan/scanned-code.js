// What a code says that was scanned or pasted.
import { call } from '../core/core.js';
import { hasCode } from '../core/fault.js';
import { coreEnv } from '../journal/env.js';

// classifyCode gives {kind, path, …}: "bag" and "blank" are labels of this program, of any
// house, with {code, token, number}; "join" is an invitation or the code of a shared
// batch; "design" is a design of a fold; "foreign" is anything else, with its text. path is the screen for it, none
// for what is foreign.
export async function classifyCode(text) {
  const [, code] = /^https?:\/\/[^/]+\/join\/([^/?#]+)\/?$/i.exec(text.trim()) || [];
  if (code && (await isJoinCode(decodeURIComponent(code)))) return { kind: 'join', path: `/join/${code}` };
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

// isJoinCode says whether the core reads a text as a code by which a phone joins.
async function isJoinCode(typed) {
  try {
    await call('code.parse', { typed });
    return true;
  } catch (err) {
    if (!hasCode(err, 'input')) throw err;
    return false;
  }
}

// sanitizeText is a stranger's text as it can be shown: clipped, and nothing in it that
// turns or hides what stands around it.
function sanitizeText(text) {
  const clean = text.replace(/[\p{Cc}\p{Cf}\p{Co}\p{Cs}]+/gu, ' ').trim();
  const letters = [...clean];
  return letters.length > 160 ? `${letters.slice(0, 160).join('')}…` : clean;
}
