// Shares a batch with helpers. The code is made on this phone, and only its hash goes into the
// journal. The code itself stays on the phone that made it, so that it can be shown again.
import { Kind } from '../dist/constants.js';
import { call } from '../core/core.js';
import { hubNow } from '../journal/clock.js';
import { meta } from '../journal/db.js';
import { hubLacks, factsOfScope } from '../journal/facts.js';
import { record } from '../journal/journal.js';
import { coreEnv } from '../journal/env.js';
import { loadState } from '../journal/states.js';

const metaKey = (batch) => `share ${batch}`;

// loadSharing returns {helpers, open, code?}. open says whether any code is valid; code is the one
// that this phone made, {shown, address, waits}, while it is valid; waits says that the hub does
// not know it yet.
export async function loadSharing(batch) {
  const { shares, helpers } = await loadState(`batch/${batch}`);
  const { [metaKey(batch)]: ownCode } = await meta.get(metaKey(batch));
  const now = await hubNow();
  const validShares = shares.filter((s) => !s.until || s.until > now);
  const isValid = ownCode && validShares.some((s) => s.hash === ownCode.hash);
  return {
    helpers,
    open: validShares.length > 0,
    code: isValid
      ? { shown: ownCode.shown, address: await joinAddress(ownCode.code), waits: await isUnsent(batch, ownCode.hash) }
      : null,
  };
}

// joinAddress returns the address for a QR code, in upper case, which makes the code smaller.
const joinAddress = async (code) => `HTTPS://${(await coreEnv()).host.toUpperCase()}/JOIN/${code}`;

async function isUnsent(batch, hash) {
  const shareFacts = (await factsOfScope(`batch/${batch}`)).filter(
    (f) => f.kind === Kind.shareOpened && f.body.hash === hash,
  );
  for (const f of shareFacts) if (await hubLacks(f.id)) return true;
  return false;
}

// startSharing makes a code for the batch; stopSharing ends every code and the helpers' access.
export async function startSharing(batch) {
  const newCode = await call('code.new');
  await meta.set({ [metaKey(batch)]: newCode });
  return record([shareDraft(batch, Kind.shareOpened, { hash: newCode.hash })], { undo: 'Helpers may join' });
}
export const stopSharing = (batch) => record([shareDraft(batch, Kind.shareClosed, {})], { undo: 'Sharing stopped' });

const shareDraft = (batch, kind, body) => ({ scope: `batch/${batch}`, subject: batch, kind, body });
