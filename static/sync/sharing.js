// A batch shared with helpers: a code is drawn on this phone, and only its hash
// goes into the journal. The code itself stays on the phone that drew it, so that
// it can be shown again.
import { call } from '../core/core.js';
import { meta } from '../journal/db.js';
import { lacks, ofScope } from '../journal/facts.js';
import { record } from '../journal/journal.js';
import { env } from '../journal/env.js';
import { state } from '../journal/states.js';

const keyOf = (batch) => `share ${batch}`;

// sharing gives {helpers, open, code?}. open says that some code is good; code is
// {shown, address, waits} of the one that this phone drew, while it is good; waits
// says that the hub has not heard of it.
export async function sharing(batch) {
  const { shares, helpers } = await state(`batch/${batch}`);
  const { [keyOf(batch)]: drawn } = await meta.get(keyOf(batch));
  const mine = drawn && shares.some((s) => s.hash === drawn.hash);
  return {
    helpers,
    open: shares.length > 0,
    code: mine
      ? { shown: drawn.shown, address: await addressOf(drawn.code), waits: await untold(batch, drawn.hash) }
      : null,
  };
}

// addressOf is what a QR code holds: in upper case it needs less of it.
const addressOf = async (code) => `HTTPS://${(await env()).host.toUpperCase()}/JOIN/${code}`;

async function untold(batch, hash) {
  const opened = (await ofScope(`batch/${batch}`)).filter((f) => f.kind === 'share.opened' && f.body.hash === hash);
  for (const f of opened) if (await lacks(f.id)) return true;
  return false;
}

// share draws a code for the batch; close ends every code and lets the helpers out.
export async function share(batch) {
  const drawn = await call('code.new');
  await meta.set({ [keyOf(batch)]: drawn });
  return record([fact(batch, 'share.opened', { hash: drawn.hash })], { undo: 'Helpers may join' });
}
export const close = (batch) => record([fact(batch, 'share.closed', {})], { undo: 'Sharing is closed' });

const fact = (batch, kind, body) => ({ scope: `batch/${batch}`, subject: batch, kind, body });
