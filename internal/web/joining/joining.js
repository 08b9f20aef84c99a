// The joining page: one step at a time, whether the app's origin is reached by
// https, and a code that came behind the # of the address. That code goes into
// links of https and is shown; it never travels over plain http. Without this
// script the page is the list of all its steps.
(function () {
  const { kind, chosen, app, here } = document.body.dataset;
  const by = (id) => document.getElementById(id);

  // An iPad says that it is a Mac.
  if (kind === 'computer' && !chosen && /Macintosh/.test(navigator.userAgent) && navigator.maxTouchPoints > 1) {
    location.replace('?for=ipad' + location.hash);
    return;
  }

  // The code: 8 digits, or 16 letters and digits, with or without marks between.
  const canonical = location.hash.slice(1).toUpperCase().replace(/[^0-9A-Z]/g, '');
  const digits = /^\d{8}$/.test(canonical);
  if (digits || canonical.length === 16) {
    for (const link of document.querySelectorAll('a.join')) link.href = `${app}/join/${canonical}`;
    for (const place of document.querySelectorAll('.code')) {
      const mine = document.createElement('b');
      mine.className = 'mine';
      mine.textContent = canonical.match(/.{4}/g).join(digits ? ' ' : '-');
      place.replaceWith('this code:', mine);
    }
    for (const link of document.querySelectorAll('.kinds a')) link.hash = location.hash;
  }

  // One step at a time. The place is kept: the person goes to Settings and back.
  const steps = [...document.querySelectorAll('.step')];
  const key = 'coldbatch.joining.' + kind;
  const kept = () => { try { return Number(localStorage.getItem(key)) || 0; } catch { return 0; } };
  const keep = (i) => { try { localStorage.setItem(key, i); } catch { /* then the page begins at the beginning */ } };
  let now = Math.min(kept(), steps.length - 1);
  by('beads').append(...steps.map(() => document.createElement('i')));
  const checked = steps.findIndex((step) => step.querySelector('.live')); // the step that looks at the check itself
  let reached = false;
  const tell = () => {
    by('reached').hidden = !reached || now >= checked;
    for (const line of document.querySelectorAll('.live')) line.textContent = reached ? 'It is reached. Now check.' : 'Not reached yet.';
  };
  // The one thing to do stands out: what the step asks for, and then going on.
  const lead = (acts, on) => { for (const act of acts) act.classList.toggle('two', !on); };
  const stress = (done) => {
    const own = steps[now].querySelectorAll('.go .act:not(.or)');
    lead(own, !done && by('reached').hidden);
    lead([by('next')], done || !own.length);
  };
  const show = (i, moved) => {
    now = i;
    tell();
    stress(false);
    by('lead').hidden = i > 0;
    steps.forEach((step, n) => { step.hidden = n !== i; });
    [...by('beads').children].forEach((bead, n) => bead.classList.toggle('on', n <= i));
    by('at').textContent = `Step ${i + 1} of ${steps.length}`;
    by('back').hidden = i === 0;
    by('next').hidden = i === steps.length - 1;
    if (!moved) return;
    keep(i);
    steps[i].querySelector('h2').focus();
    scrollTo(0, 0);
  };
  by('back').addEventListener('click', () => show(now - 1, true));
  by('next').addEventListener('click', () => show(now + 1, true));
  for (const act of document.querySelectorAll('.step .go .act')) act.addEventListener('click', () => stress(true));
  document.documentElement.classList.add('guided');
  by('progress').hidden = by('foot').hidden = false;
  for (const line of document.querySelectorAll('.live')) line.hidden = false;
  show(now);

  // A link to what stands folded up opens it.
  for (const link of document.querySelectorAll('a[href^="#"]')) {
    link.addEventListener('click', (e) => {
      e.preventDefault(); // the code stays in the address
      const d = by(link.hash.slice(1));
      d.open = true;
      d.scrollIntoView();
      d.querySelector('summary').focus({ preventScroll: true });
    });
  }

  // Reached? An answer that may not be read is an answer all the same. It does
  // not prove trust: a browser that was told to go on regardless answers too.
  const answers = async (origin) => {
    const control = new AbortController();
    const timer = setTimeout(() => control.abort(), 4000);
    try {
      await fetch(`${origin}/healthz`, { mode: 'no-cors', cache: 'no-store', credentials: 'omit', signal: control.signal });
      return true;
    } catch {
      return false;
    } finally {
      clearTimeout(timer);
    }
  };
  const look = async () => {
    if (document.visibilityState !== 'visible') return;
    const named = await answers(app);
    const numbered = !named && here !== app && await answers(here);
    by('nameless').hidden = !numbered;
    if (named === reached) return;
    reached = named;
    tell();
    stress(false);
  };
  document.addEventListener('visibilitychange', look);
  (async function again() {
    await look();
    setTimeout(again, 4000);
  })();
})();
