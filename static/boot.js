// Stands guard while the app starts. It is a plain script without imports, so
// that it runs where a module is missing or does not parse: then it says so and
// offers to fetch the app afresh. What was recorded is never touched.
(() => {
  const patience = 20000; // ms until a start that says nothing counts as failed

  const failed = (why) => {
    if (document.documentElement.dataset.started || document.getElementById('boot')) return;
    console.error('start:', why);
    const box = document.createElement('main');
    box.id = 'boot';
    const head = document.createElement('h1');
    head.textContent = 'The app did not start';
    const text = document.createElement('p');
    text.textContent =
      'A part of it is missing on this phone. What you recorded is safe. Repair fetches the app again from the hub.';
    const button = document.createElement('button');
    button.textContent = 'Repair';
    button.addEventListener('click', () => repair(text));
    box.append(head, text, button);
    document.body.append(box);
  };

  // repair throws the kept app away, but only while the hub answers: a phone
  // without a hub keeps what it has.
  const repair = async (text) => {
    text.textContent = 'Asking the hub …';
    try {
      const answer = await fetch('/healthz', { cache: 'no-store', signal: AbortSignal.timeout(6000) });
      if (!answer.ok) throw new Error(`the hub answered ${answer.status}`);
      for (const name of await caches.keys()) if (name.startsWith('coldbatch-')) await caches.delete(name);
      for (const worker of await navigator.serviceWorker.getRegistrations()) await worker.unregister();
      location.reload();
    } catch (err) {
      console.error('repair:', err);
      text.textContent =
        'The hub does not answer, so there is nowhere to fetch the app from. ' +
        'Start the program, come into its network, and tap Repair again.';
    }
  };

  const whenRead = (then) =>
    document.readyState === 'loading' ? document.addEventListener('DOMContentLoaded', then) : then();
  addEventListener(
    'error',
    (e) => {
      const target = /** @type {any} */ (e.target); // a script, a style sheet, or the window
      const part = target && (target.src || target.href);
      if (target && target.tagName === 'LINK') return; // an unstyled page still works
      whenRead(() => failed(part ? `${part} did not load` : e.message));
    },
    true,
  );
  setTimeout(() => failed(`nothing after ${patience} ms`), patience);
})();
