// The joining page: it shows one step at a time, checks whether the app can be reached by
// https, and shows the pairing code that follows the # of the address. The code is added to
// https links only, so it is never sent over plain http. Without this script the page lists
// all its steps.
(function () {
  const { kind, chosen, app, here } = document.body.dataset;
  const element = (id) => document.getElementById(id);

  // An iPad pretends to be a Mac.
  if (kind === 'computer' && !chosen && /Macintosh/.test(navigator.userAgent) && navigator.maxTouchPoints > 1) {
    location.replace('?for=ipad' + location.hash);
    return;
  }

  // The code: 8 digits, or 16 letters and digits, with or without separators.
  const code = location.hash.slice(1).toUpperCase().replace(/[^0-9A-Z]/g, '');
  const isDigits = /^\d{8}$/.test(code);
  if (isDigits || code.length === 16) {
    for (const link of document.querySelectorAll('a.join')) link.href = `${app}/join/${code}`;
    for (const help of document.querySelectorAll('.code-help')) {
      const box = document.createElement('b');
      box.className = 'pairing-code';
      box.textContent = code.match(/.{4}/g).join(isDigits ? ' ' : '-');
      help.replaceWith('this code:', box);
    }
    for (const link of document.querySelectorAll('.device-kinds a')) link.hash = location.hash;
  }

  // One step at a time. The current step is saved, because the person leaves for Settings and comes back.
  const steps = [...document.querySelectorAll('.step')];
  const storageKey = 'coldbatch.joining.' + kind;
  const savedStep = () => { try { return Number(localStorage.getItem(storageKey)) || 0; } catch { return 0; } };
  const saveStep = (i) => { try { localStorage.setItem(storageKey, i); } catch { /* then the page starts at step 1 again */ } };
  let current = Math.min(savedStep(), steps.length - 1);
  element('progress-dots').append(...steps.map(() => document.createElement('i')));
  const checkStep = steps.findIndex((step) => step.querySelector('.live')); // the step that opens the check
  let isReached = false;
  const showReached = () => {
    element('reached').hidden = !isReached || current >= checkStep;
    for (const line of document.querySelectorAll('.live')) line.textContent = isReached ? 'It can be reached. Now check.' : 'Not reached yet.';
  };
  // Only the button to press next is highlighted: first the one of the step, then Next.
  const highlight = (buttons, isOn) => { for (const button of buttons) button.classList.toggle('secondary', !isOn); };
  const highlightNext = (isStepDone) => {
    const stepButtons = steps[current].querySelectorAll('.button-line .button:not(.alternative)');
    highlight(stepButtons, !isStepDone && element('reached').hidden);
    highlight([element('next')], isStepDone || !stepButtons.length);
  };
  const showStep = (i, isMove) => {
    current = i;
    showReached();
    highlightNext(false);
    element('intro').hidden = i > 0;
    steps.forEach((step, n) => { step.hidden = n !== i; });
    [...element('progress-dots').children].forEach((dot, n) => dot.classList.toggle('reached', n <= i));
    element('step-text').textContent = `Step ${i + 1} of ${steps.length}`;
    element('back').hidden = i === 0;
    element('next').hidden = i === steps.length - 1;
    if (!isMove) return;
    saveStep(i);
    steps[i].querySelector('h2').focus();
    scrollTo(0, 0);
  };
  element('back').addEventListener('click', () => showStep(current - 1, true));
  element('next').addEventListener('click', () => showStep(current + 1, true));
  for (const button of document.querySelectorAll('.step .button-line .button')) button.addEventListener('click', () => highlightNext(true));
  document.documentElement.classList.add('guided');
  element('progress').hidden = element('foot').hidden = false;
  for (const line of document.querySelectorAll('.live')) line.hidden = false;
  showStep(current);

  // A link to a collapsed section opens it.
  for (const link of document.querySelectorAll('a[href^="#"]')) {
    link.addEventListener('click', (e) => {
      e.preventDefault(); // the code stays in the address
      const section = by(link.hash.slice(1));
      section.open = true;
      section.scrollIntoView();
      section.querySelector('summary').focus({ preventScroll: true });
    });
  }

  // Any answer means that the program was reached, even one that this page may not read. It does
  // not prove trust: if the person passed the browser's warning, an answer comes too.
  const answers = async (origin) => {
    const controller = new AbortController();
    const timer = setTimeout(() => controller.abort(), 4000);
    try {
      await fetch(`${origin}/healthz`, { mode: 'no-cors', cache: 'no-store', credentials: 'omit', signal: controller.signal });
      return true;
    } catch {
      return false;
    } finally {
      clearTimeout(timer);
    }
  };
  const checkReached = async () => {
    if (document.visibilityState !== 'visible') return;
    const nameAnswers = await answers(app);
    const onlyAddressAnswers = !nameAnswers && here !== app && await answers(here);
    element('name-not-found').hidden = !onlyAddressAnswers;
    if (nameAnswers === isReached) return;
    isReached = nameAnswers;
    showReached();
    highlightNext(false);
  };
  document.addEventListener('visibilitychange', checkReached);
  (async function repeatCheck() {
    await checkReached();
    setTimeout(repeatCheck, 4000);
  })();
})();
