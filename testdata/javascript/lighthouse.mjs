// Has Lighthouse measure pages of the app that runs at an address, in a browser of its own:
//
//   node lighthouse.mjs ADDRESS BROWSER mobile/first-visit mobile/bag desktop/today …
//
// It prints a line of JSON for each: {run, scores: {performance, accessibility, best-practices}, faults,
// figures}. The first visits come first, on a phone that has nothing stored; then the invented
// example is opened, and its pages are measured with what is stored.
import { launch } from 'chrome-launcher';
import lighthouse from 'lighthouse';
import desktop from 'lighthouse/core/config/desktop-config.js';
import puppeteer from 'puppeteer-core';

const [address, chromePath, ...runs] = process.argv.slice(2);
const categories = ['performance', 'accessibility', 'best-practices'];
const figures = {
  'first-contentful-paint': 'first paint',
  'largest-contentful-paint': 'largest paint',
  'speed-index': 'speed index',
  'total-blocking-time': 'blocked',
  'cumulative-layout-shift': 'layout shift',
};

const flags = ['--headless', '--no-sandbox', '--disable-gpu', '--hide-scrollbars', '--lang=en-GB'];
const chrome = await launch({ chromePath, chromeFlags: flags, logLevel: 'error' });
const browser = await puppeteer.connect({ browserURL: `http://127.0.0.1:${chrome.port}`, defaultViewport: null });

async function measure(run, path, keepsStorage) {
  const options = {
    port: chrome.port,
    onlyCategories: categories,
    disableStorageReset: keepsStorage,
    logLevel: 'error',
  };
  const result = await lighthouse(address + path, options, run.startsWith('desktop/') ? desktop : undefined);
  const { categories: got, audits, runtimeError } = result.lhr;
  if (runtimeError) throw new Error(`${run}: ${runtimeError.message}`);
  const faults = ['accessibility', 'best-practices']
    .flatMap((name) => got[name].auditRefs)
    .filter(({ id, weight }) => weight && audits[id].score !== null && audits[id].score < 1)
    .map(({ id }) => `${id}: ${audits[id].title}: ${JSON.stringify(audits[id].details?.items).slice(0, 600)}`);
  console.log(
    JSON.stringify({
      run,
      scores: Object.fromEntries(categories.map((name) => [name, Math.round(got[name].score * 100)])),
      faults,
      figures: Object.entries(figures).map(([id, words]) => `${words} ${audits[id].displayValue}`),
    }),
  );
}

// openExample opens the invented example and returns the paths of its pages.
async function openExample() {
  const page = await browser.newPage();
  await page.goto(address);
  await page.evaluate(() => localStorage.setItem('coldbatch.example', 'here'));
  await page.goto(address);
  await page.waitForSelector('a[href^="/bag/"]', { timeout: 60000 });
  await page.evaluate(() => navigator.serviceWorker.ready);
  const bag = await page.$eval('a[href^="/bag/"]', (link) => link.pathname);
  await page.close();
  return { today: '/', batch: `/batch/${bag.split('/')[2]}`, bag, sum: '/sums/soak' };
}

try {
  const isFirst = (run) => run.endsWith('/first-visit');
  for (const run of runs.filter(isFirst)) await measure(run, '/', false);
  const rest = runs.filter((run) => !isFirst(run));
  const paths = rest.length ? await openExample() : {};
  for (const run of rest) await measure(run, paths[run.split('/')[1]], true);
} finally {
  await browser.disconnect();
  chrome.kill();
}
