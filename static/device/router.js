// Paths of the app and the screen each stands for. Links are plain <a href>; the
// router takes the taps on them, moves the focus to the heading, and brings the
// page back to where it was on the way back.
import { signal } from '@preact/signals';

const id = '([0-9a-hjkmnp-tv-z]{26})';
const routes = [
  ['/', 'today'],
  ['/today', 'today'],
  ['/batches', 'batches'],
  ['/scan', 'scan'],
  ['/scan/shelf', 'shelfCheck'],
  [`/batch/${id}`, 'batch', 'id'],
  ...['pieces', 'colours', 'soak', 'jugs', 'bagging', 'labels', 'history', 'share'].map((step) => [
    `/batch/${id}/${step}`,
    step,
    'id',
  ]),
  [`/bag/${id}/${id}`, 'bag', 'batch', 'bag'],
  ['/b/([^/]+)', 'label', 'code'],
  ['/sums', 'sums'],
  ['/sums/([a-z0-9-]+)', 'sum', 'name'],
  ['/shelf', 'shelf'],
  [`/place/${id}`, 'place', 'id'],
  ['/phone', 'phone'],
  ['/check', 'check'],
  ['/phones', 'phones'],
  ['/join', 'join'],
  ['/join/([^/]+)', 'join', 'code'],
].map(([path, screen, ...names]) => ({ at: new RegExp(`^${path}/?$`, 'i'), screen, names }));

// parsePath gives {screen, params, path} of an address; a path that is none of the
// app's is the screen "missing".
export function parsePath(path) {
  for (const { at, screen, names } of routes) {
    const found = path.match(at);
    if (!found) continue;
    const params = {};
    names.forEach((n, i) => {
      params[n] = ['id', 'batch', 'bag'].includes(n) ? found[i + 1].toLowerCase() : decodeURIComponent(found[i + 1]);
    });
    return { screen, params, path };
  }
  return { screen: 'missing', params: {}, path };
}

export const route = signal(parsePath(location.pathname));

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

// startRouter takes over links and the back button.
export function startRouter() {
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
