// Paths of the app and the screen each stands for. Links are plain <a href>; the
// router takes the taps on them, moves the focus to the heading, and brings the
// page back to where it was on the way back.
import { signal } from '@preact/signals';

const idPattern = '([0-9a-hjkmnp-tv-z]{26})';
const isId = (name) => ['id', 'batch', 'bag'].includes(name);

let table = []; // of {pattern, names, Screen}
let notFound = null; // the screen of every other path

// compileRoute turns a path such as "/bag/:batch/:bag" into a pattern and its names.
function compileRoute([path, Screen]) {
  const names = [...path.matchAll(/:(\w+)/g)].map(([, name]) => name);
  const text = path.replace(/:(\w+)/g, (_, name) => (isId(name) ? idPattern : '([^/]+)'));
  return { pattern: new RegExp(`^${text}/?$`, 'i'), names, Screen };
}

// parsePath gives {Screen, params, path} of an address.
function parsePath(path) {
  for (const { pattern, names, Screen } of table) {
    const found = path.match(pattern);
    if (!found) continue;
    try {
      const values = names.map((name, i) =>
        isId(name) ? found[i + 1].toLowerCase() : decodeURIComponent(found[i + 1]),
      );
      return { Screen, params: Object.fromEntries(names.map((name, i) => [name, values[i]])), path };
    } catch (err) {
      if (!(err instanceof URIError)) throw err; // a % that stands for nothing: no path of the app's
    }
  }
  return { Screen: notFound, params: {}, path };
}

// route is the screen that is shown: {Screen, params, path}.
export const route = signal(parsePath(location.pathname));

// isAt says whether the screen that is shown has one of these paths, or one below it.
export const isAt = (...paths) =>
  paths.some((path) => route.value.path === path || route.value.path.startsWith(`${path}/`));

// navigate shows another path; with replace, back does not lead to the one left.
export function navigate(path, { replace = false } = {}) {
  saveScroll();
  if (replace) history.replaceState({ y: 0 }, '', path);
  else if (path !== location.pathname) history.pushState({ y: 0 }, '', path);
  showPath(0);
}

function saveScroll() {
  history.replaceState({ ...history.state, y: scrollY }, '');
}

function showPath(y) {
  route.value = parsePath(location.pathname);
  focusHeading(y);
}

// focusHeading waits for the screen's heading, which may come a little later, gives it
// the focus and scrolls to y, unless the person has moved on by then.
let focusRun = 0;
function focusHeading(y) {
  const mine = ++focusRun;
  const until = performance.now() + 2000;
  const before = document.querySelector('h1');
  const look = () => {
    if (mine !== focusRun) return;
    const head = document.querySelector('h1');
    const late = performance.now() > until;
    if (
      !head ||
      (head === before && performance.now() < until - 1900) ||
      (y > document.documentElement.scrollHeight - innerHeight && !late)
    )
      return void requestAnimationFrame(look);
    if (!head.hasAttribute('tabindex')) head.setAttribute('tabindex', '-1');
    head.focus({ preventScroll: true });
    scrollTo(0, y);
  };
  requestAnimationFrame(look);
  for (const moved of ['pointerdown', 'keydown', 'wheel'])
    addEventListener(
      moved,
      () => {
        if (mine === focusRun) focusRun++;
      },
      { once: true, passive: true },
    );
}

// startRouter shows the screen of the address, and takes over links and the back button.
// routes are [path, Screen]; NotFound is shown for any other path.
export function startRouter(routes, NotFound) {
  table = routes.map(compileRoute);
  notFound = NotFound;
  route.value = parsePath(location.pathname);
  history.scrollRestoration = 'manual';
  let slow = 0;
  addEventListener(
    'scroll',
    () => {
      clearTimeout(slow);
      slow = setTimeout(saveScroll, 200);
    },
    { passive: true },
  );
  addEventListener('popstate', (e) => {
    clearTimeout(slow);
    showPath(e.state?.y || 0);
  });
  document.addEventListener('click', (e) => {
    const link = /** @type {HTMLAnchorElement | null} */ (
      /** @type {Element | null} */ (e.target)?.closest?.('a[href]')
    );
    if (!link || e.defaultPrevented || e.button || e.metaKey || e.ctrlKey || e.shiftKey || e.altKey) return;
    if (
      link.target ||
      link.hasAttribute('download') ||
      link.origin !== location.origin ||
      link.pathname.startsWith('/api/')
    )
      return;
    if (link.hash && link.pathname === location.pathname) return;
    e.preventDefault();
    navigate(link.pathname);
  });
}
