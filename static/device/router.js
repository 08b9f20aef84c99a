// The router: shows the screen for a path. Links are plain <a href>; the router handles taps on
// them, moves the focus to the heading, and restores the scroll position on the way back.
import { signal } from '@preact/signals';

const idPattern = '([0-9a-hjkmnp-tv-z]{26})';
const isId = (name) => ['id', 'batch', 'bag'].includes(name);

let compiledRoutes = []; // of {pattern, names, Screen}
let notFound = null; // the screen of every other path

// compileRoute turns a path such as "/bag/:batch/:bag" into a pattern and its names.
function compileRoute([path, Screen]) {
  const names = [...path.matchAll(/:(\w+)/g)].map(([, name]) => name);
  const text = path.replace(/:(\w+)/g, (_, name) => (isId(name) ? idPattern : '([^/]+)'));
  return { pattern: new RegExp(`^${text}/?$`, 'i'), names, Screen };
}

// parsePath returns {Screen, params, path} for a path.
function parsePath(path) {
  for (const { pattern, names, Screen } of compiledRoutes) {
    const match = path.match(pattern);
    if (!match) continue;
    try {
      const values = names.map((name, i) =>
        isId(name) ? match[i + 1].toLowerCase() : decodeURIComponent(match[i + 1]),
      );
      return { Screen, params: Object.fromEntries(names.map((name, i) => [name, values[i]])), path };
    } catch (err) {
      if (!(err instanceof URIError)) throw err; // an invalid % escape: not a path of the app's
    }
  }
  return { Screen: notFound, params: {}, path };
}

// route is the screen that is shown: {Screen, params, path}.
export const route = signal(parsePath(location.pathname));

// isAt says whether the current path is one of these or below one of them.
export const isAt = (...paths) =>
  paths.some((path) => route.value.path === path || route.value.path.startsWith(`${path}/`));

// navigate goes to another path; with replace, the back button skips the current one.
export function navigate(path, { replace = false } = {}) {
  saveScroll();
  if (replace) history.replaceState({ y: 0 }, '', path);
  else if (path !== location.pathname) history.pushState({ y: 0 }, '', path);
  showPath(0);
}

function saveScroll() {
  if (history.state?.y !== scrollY) history.replaceState({ ...history.state, y: scrollY }, '');
}

function showPath(y) {
  route.value = parsePath(location.pathname);
  focusHeading(y);
}

// focusHeading waits for the screen's heading, which may appear a little later, gives it the focus
// and scrolls to y, unless the person has done something by then.
let focusRun = 0;
function focusHeading(y) {
  const thisRun = ++focusRun;
  const deadline = performance.now() + 2000;
  const previousHeading = document.querySelector('h1');
  const tryFocus = () => {
    if (thisRun !== focusRun) return;
    const heading = document.querySelector('h1');
    const isLate = performance.now() > deadline;
    if (
      !heading ||
      (heading === previousHeading && performance.now() < deadline - 1900) ||
      (y > document.documentElement.scrollHeight - innerHeight && !isLate)
    )
      return void requestAnimationFrame(tryFocus);
    if (!heading.hasAttribute('tabindex')) heading.setAttribute('tabindex', '-1');
    heading.focus({ preventScroll: true });
    scrollTo(0, y);
  };
  requestAnimationFrame(tryFocus);
  for (const eventName of ['pointerdown', 'keydown', 'wheel'])
    addEventListener(
      eventName,
      () => {
        if (thisRun === focusRun) focusRun++;
      },
      { once: true, passive: true },
    );
}

// startRouter shows the screen of the address, and takes over links and the back button.
// routes are [path, Screen]; NotFound is shown for any other path.
export function startRouter(routes, NotFound) {
  compiledRoutes = routes.map(compileRoute);
  notFound = NotFound;
  route.value = parsePath(location.pathname);
  history.scrollRestoration = 'manual';
  let scrollTimer = 0;
  addEventListener(
    'scroll',
    () => {
      clearTimeout(scrollTimer);
      scrollTimer = setTimeout(saveScroll, 200);
    },
    { passive: true },
  );
  addEventListener('popstate', (e) => {
    clearTimeout(scrollTimer);
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
