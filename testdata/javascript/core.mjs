// The core as go generate made it, run in this thread in place of the page's worker: a
// test that imports this file first may call everything that the core offers.
import { readFile } from 'node:fs/promises';
import { appFolder, doNothing, loadModule } from './app.mjs';

const coreLoaded = loadCore();
coreLoaded.catch(doNothing); // each worker reports it

async function loadCore() {
  await loadModule('/dist/wasm_exec.js'); // defines Go
  const go = new globalThis.Go();
  const ready = new Promise((resolve) => {
    globalThis.coldbatchReady = resolve;
  });
  const { instance } = await WebAssembly.instantiate(
    await readFile(new URL('dist/_core.wasm', appFolder)),
    go.importObject,
  );
  go.run(instance);
  await ready;
}

globalThis.Worker = class {
  constructor() {
    coreLoaded.then(
      () => this.onmessage({ data: { ready: true } }),
      (err) => this.onerror({ message: `${err.message}: run go generate ./... first`, preventDefault: doNothing }),
    );
  }
  postMessage({ id, name, body, bytes }) {
    const args = bytes ? [name, body, structuredClone(bytes)] : [name, body];
    const answer = globalThis.coldbatchCall(...args);
    const data = typeof answer === 'string' ? { id, text: answer } : { id, ...answer };
    queueMicrotask(() => this.onmessage({ data }));
  }
  terminate = doNothing;
};
