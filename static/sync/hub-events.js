// The hub's stream of hints: something changed, come and exchange. Read by fetch
// and not by EventSource, which hides the heartbeat by which a dead stream is
// told from a quiet one.

const silenceTimeout = 45e3; // ms; the hub says something every 20 s

// listenToHub calls hint for each change, and ended when the stream is no more, also
// after stop.
export function listenToHub(hint, ended) {
  const control = new AbortController();
  let watch = 0;
  const heard = () => {
    clearTimeout(watch);
    watch = setTimeout(() => control.abort(), silenceTimeout);
  };
  const read = async () => {
    heard();
    const answer = await fetch('/api/v1/events', { signal: control.signal, cache: 'no-store' });
    if (!answer.ok || !answer.body) return;
    const reader = answer.body.pipeThrough(new TextDecoderStream()).getReader();
    for (let text = ''; ; ) {
      const { done, value } = await reader.read();
      if (done) return;
      heard();
      text += value;
      const end = text.lastIndexOf('\n\n');
      if (end < 0) continue;
      if (text.slice(0, end).includes('event: changed')) hint();
      text = text.slice(end + 2);
    }
  };
  read()
    .catch(() => undefined) // a stream that breaks has ended, and is opened again
    .finally(() => {
      clearTimeout(watch);
      ended();
    });
  return { stop: () => control.abort() };
}
