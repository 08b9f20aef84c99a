// Sends requests to the hub. If the hub is stopped, out of reach, or hangs, they throw a Fault with
// the code unavailable.
import { Fault } from '../core/fault.js';

const answerTimeout = 6e3; // ms until it must begin to answer
const bodyTimeout = 20e3; // ms more for a long answer on a weak network

// requestHub gets a resource under /api/v1, or posts body to it, and returns the JSON.
export const requestHub = (path, body, method = body ? 'POST' : 'GET') =>
  sendRequest(path, method, body, (answer) => answer.json());

// downloadFile gets a resource that is not JSON, as a blob.
export const downloadFile = (path) => sendRequest(path, 'GET', null, (answer) => answer.blob());

async function sendRequest(path, method, body, readBody) {
  const controller = new AbortController();
  let timer = setTimeout(() => controller.abort(), answerTimeout);
  let answer, value;
  try {
    answer = await fetch(`/api/v1/${path}`, {
      method,
      signal: controller.signal,
      cache: 'no-store',
      ...(body && { body: JSON.stringify(body), headers: { 'Content-Type': 'application/json' } }),
    });
    clearTimeout(timer);
    timer = setTimeout(() => controller.abort(), bodyTimeout);
    value = await (answer.ok ? readBody(answer) : answer.json());
  } catch {
    throw new Fault({
      code: 'unavailable',
      sentence: 'the hub cannot be reached',
      hint: 'what you record stays on this phone until the hub can be reached',
    });
  } finally {
    clearTimeout(timer);
  }
  if (!answer.ok)
    throw new Fault(value?.error?.sentence ? value.error : { sentence: `the hub answered ${answer.status}` });
  return value;
}
