// A long list draws its first items, and more as they are scrolled to, so that a screen comes up as
// soon with 500 as with 16.
import { html } from './html.js';
import { useEffect, useRef, useState } from 'preact/hooks';

const step = 16; // items drawn at first, and each time more
const ahead = '800px'; // how far below the screen the next are drawn

/**
 * useLongList returns how many of so many items to draw, and what to put after them: a button for the
 * rest, which a list that is scrolled presses by itself.
 * @param {number} length
 */
export function useLongList(length) {
  const [wanted, setWanted] = useState(step);
  const end = useRef(/** @type {HTMLElement | null} */ (null));
  const isCut = wanted < length;
  const showMore = () => setWanted((n) => n + step);
  useEffect(() => {
    if (!end.current) return;
    const observer = new IntersectionObserver((seen) => seen.some((s) => s.isIntersecting) && showMore(), {
      rootMargin: ahead,
    });
    observer.observe(end.current);
    return () => observer.disconnect();
  }, [wanted, isCut]);
  const rest =
    isCut &&
    html`<button type="button" class="button secondary wide" ref=${end} onClick=${showMore}>
      Show more: ${length - wanted} left</button>`;
  return { count: Math.min(wanted, length), rest };
}
