// Shows the last known Today until the app has started, and watches that it starts. It is a plain
// script without imports, so it runs even if a module is missing or cannot be parsed: it then reports
// the failure and offers to download the app again. It never touches what was recorded.

// What Today said when it was last open is written into the empty frame, marked as old.
(() => {
  const head = location.pathname === '/' && document.querySelector('#app .head');
  if (!head) return;
  try {
    const last = JSON.parse(localStorage.getItem('last-today') || 'null');
    if (!last || localStorage.getItem('coldbatch.example')) return;
    const add = (name, className, text) =>
      head.append(Object.assign(document.createElement(name), { className, textContent: text }));
    add('p', 'overline', `As of ${last.at}`);
    add('h1', '', last.title);
    for (const line of last.lines) add('p', 'sub', line);
  } catch (err) {
    console.error('last Today:', err); // the app shows Today a moment later
  }
})();

(() => {
  const startTimeout = 20000; // ms until a start that gives no sign counts as failed

  const showStartFailure = (why) => {
    if (document.documentElement.dataset.started || document.getElementById('boot')) return;
    console.error('start:', why);
    const box = document.createElement('main');
    box.id = 'boot';
    document.getElementById('app')?.replaceChildren();
    const heading = document.createElement('h1');
    heading.textContent = 'The app did not start';
    const text = document.createElement('p');
    text.textContent =
      'A part of it is missing on this phone. What you recorded is safe. Repair fetches the app again from the hub.';
    const button = document.createElement('button');
    button.textContent = 'Repair';
    button.addEventListener('click', () => repair(text));
    box.append(heading, text, button);
    document.body.append(box);
  };

  // repair deletes the cached app, but only if the hub answers: a phone out of reach of the hub
  // keeps what it has.
  const repair = async (text) => {
    text.textContent = 'Asking the hub …';
    try {
      const answer = await fetch('/healthz', { cache: 'no-store', signal: AbortSignal.timeout(6000) });
      if (!answer.ok) throw new Error(`the hub answered ${answer.status}`);
      for (const name of await caches.keys()) if (name.startsWith('coldbatch-')) await caches.delete(name);
      for (const registration of await navigator.serviceWorker.getRegistrations()) await registration.unregister();
      location.reload();
    } catch (err) {
      console.error('repair:', err);
      text.textContent =
        'The hub does not answer, so the app cannot be downloaded. ' +
        'Start the program, connect this phone to its network, and tap Repair again.';
    }
  };

  const onceParsed = (callback) =>
    document.readyState === 'loading' ? document.addEventListener('DOMContentLoaded', callback) : callback();
  addEventListener(
    'error',
    (e) => {
      const target = /** @type {any} */ (e.target); // a script, a style sheet, or the window
      const failedUrl = target && (target.src || target.href);
      if (target && target.tagName === 'LINK') return; // an unstyled page still works
      onceParsed(() => showStartFailure(failedUrl ? `${failedUrl} did not load` : e.message));
    },
    true,
  );
  setTimeout(() => showStartFailure(`nothing after ${startTimeout} ms`), startTimeout);
})();
