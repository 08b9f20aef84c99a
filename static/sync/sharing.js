// A batch shared with helpers: a code is drawn on this phone, and only its hash
// goes into the journal. The code itself stays on the phone that drew it, so that
// it can be shown again.
import { Kind } from '../dist/constants.js';
import { call } from '../core/core.js';
import { hubNow } from '../journal/clock.js';
import { meta } from '../journal/db.js';
import { hubLacks, factsOfScope } from '../journal/facts.js';
import { record } from '../journal/journal.js';
import { coreEnv } from '../journal/env.js';
import { loadState } from '../journal/states.js';

const metaKey = (batch) => `share ${batch}`;

// loadSharing gives {helpers, open, code?}. open says that some code is good; code is
// {shown, address, waits} of the one that this phone drew, while it is good; waits
// says that the hub has not heard of it.
export async function loadSharing(batch) {
  const { shares, helpers } = await loadState(`batch/${batch}`);
  const { [metaKey(batch)]: drawn } = await meta.get(metaKey(batch));
  const now = await hubNow();
  const good = shares.filter((s) => !s.until || s.until > now);
  const mine = drawn && good.some((s) => s.hash === drawn.hash);
  return {
    helpers,
    open: good.length > 0,
    code: mine
      ? { shown: drawn.shown, address: await joinAddress(drawn.code), waits: await isUnsent(batch, drawn.hash) }
      : null,
  };
}

// joinAddress is what a QR code holds: in upper case it needs less of it.
const joinAddress = async (code) => `HTTPS://${(await coreEnv()).host.toUpperCase()}/JOIN/${code}`;

async function isUnsent(batch, hash) {
  const opened = (await factsOfScope(`batch/${batch}`)).filter(
    (f) => f.kind === Kind.shareOpened && f.body.hash === hash,
  );
  for (const f of opened) if (await hubLacks(f.id)) return true;
  return false;
}

// startSharing draws a code for the batch; stopSharing ends every code and lets the helpers out.
export async function startSharing(batch) {
  const drawn = await call('code.new');
  await meta.set({ [metaKey(batch)]: drawn });
  return record([shareDraft(batch, Kind.shareOpened, { hash: drawn.hash })], { undo: 'Helpers may join' });
}
export const stopSharing = (batch) => record([shareDraft(batch, Kind.shareClosed, {})], { undo: 'Sharing stopped' });

const shareDraft = (batch, kind, body) => ({ scope: `batch/${batch}`, subject: batch, kind, body });
