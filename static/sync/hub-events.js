// The hub's event stream. A "changed" event means that there are new facts to fetch. It is
// read by fetch because EventSource hides the heartbeat, which tells a dead stream from a
// quiet one.

const silenceTimeout = 45e3; // ms; the hub sends a heartbeat every 20 s

// listenToHub calls onChange for each change, and onEnd once the stream has ended, also
// after stop.
export function listenToHub(onChange, onEnd) {
  const controller = new AbortController();
  let timer = 0;
  const restartTimer = () => {
    clearTimeout(timer);
    timer = setTimeout(() => controller.abort(), silenceTimeout);
  };
  const read = async () => {
    restartTimer();
    const answer = await fetch('/api/v1/events', { signal: controller.signal, cache: 'no-store' });
    if (!answer.ok || !answer.body) return;
    const reader = answer.body.pipeThrough(new TextDecoderStream()).getReader();
    for (let text = ''; ; ) {
      const { done, value } = await reader.read();
      if (done) return;
      restartTimer();
      text += value;
      const end = text.lastIndexOf('\n\n');
      if (end < 0) continue;
      if (text.slice(0, end).includes('event: changed')) onChange();
      text = text.slice(end + 2);
    }
  };
  read()
    .catch(() => undefined) // a broken stream counts as ended, and is opened again
    .finally(() => {
      clearTimeout(timer);
      onEnd();
    });
  return { stop: () => controller.abort() };
}
