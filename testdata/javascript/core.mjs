// The programs for the phone as go generate made them, run in this thread in place of the page's
// workers: a test that imports this file first may call everything that they offer.
import { readFile } from 'node:fs/promises';
import { appFolder, doNothing, loadModule } from './app.mjs';

// Both programs put coldbatchCall in the same place, so the second one loads after the first.
const coreLoaded = loadProgram('core');
const extraLoaded = coreLoaded.then(() => loadProgram('extra'));
const loaded = { core: coreLoaded, extra: extraLoaded };
for (const program of Object.values(loaded)) program.catch(doNothing); // each worker reports it

// loadProgram returns the function that makes calls.
async function loadProgram(name) {
  if (!globalThis.Go) await loadModule('/dist/wasm_exec.js'); // defines Go
  const go = new globalThis.Go();
  const ready = new Promise((resolve) => {
    globalThis.coldbatchReady = resolve;
  });
  const { instance } = await WebAssembly.instantiate(
    await readFile(new URL(`dist/_${name}.wasm`, appFolder)),
    go.importObject,
  );
  go.run(instance);
  await ready;
  return globalThis.coldbatchCall;
}

globalThis.Worker = class {
  constructor(_, { name = 'core' } = {}) {
    this.program = loaded[name];
    this.program.then(
      () => this.onmessage({ data: { ready: true } }),
      (err) => this.onerror({ message: `${err.message}: run go generate ./... first`, preventDefault: doNothing }),
    );
  }
  async postMessage({ id, name, body, bytes }) {
    const callProgram = await this.program;
    const args = bytes ? [name, body, structuredClone(bytes)] : [name, body];
    const answer = callProgram(...args);
    const data = typeof answer === 'string' ? { id, text: answer } : { id, ...answer };
    queueMicrotask(() => this.onmessage({ data }));
  }
  terminate = doNothing;
};
