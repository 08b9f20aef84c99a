// A program in a worker: the core, or the program that the worker's name says. Compiles it, hands
// calls in, passes answers out. A call comes as
// {id, name, body, bytes} and goes as {id, text, bytes}: body and text are JSON, bytes a
// Uint8Array or nothing. Bytes that go out are transferred, not copied.
importScripts('/dist/wasm_exec.js');

const goRuntime = new Go();
const program = self.name || 'core';
const coreReady = new Promise((resolve) => {
  self.coldbatchReady = resolve;
});

self.onmessage = async ({ data: { id, name, body, bytes } }) => {
  await coreReady;
  try {
    const answer = bytes ? self.coldbatchCall(name, body, bytes) : self.coldbatchCall(name, body);
    if (typeof answer === 'string') postMessage({ id, text: answer });
    else postMessage({ id, ...answer }, [answer.bytes.buffer]);
  } catch (err) {
    // the core guards each call, so an error that gets here has ended the core
    postMessage({ dead: String(err) });
  }
};

start().catch((err) => postMessage({ dead: String(err) }));

async function start() {
  const { instance } = await compile(await fetch(`/dist/${program}.wasm`));
  const coreEnded = goRuntime.run(instance);
  await Promise.race([coreReady, coreEnded]);
  postMessage({ ready: true });
  await coreEnded;
  postMessage({ dead: 'the program ended' });
}

// compile compiles while downloading if the content type allows it; a proxy or an old cache may
// have changed the type.
async function compile(answer) {
  if (!answer.ok) throw new Error(`${program}.wasm: status ${answer.status}`);
  if ((answer.headers.get('Content-Type') || '').startsWith('application/wasm')) {
    return WebAssembly.instantiateStreaming(answer, goRuntime.importObject);
  }
  return WebAssembly.instantiate(await answer.arrayBuffer(), goRuntime.importObject);
}
