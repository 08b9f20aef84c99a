// When something was: by the clock where it was today, else by the day too.
import { style } from '../device/settings.js';

const print = (ms, more) => new Intl.DateTimeFormat('en-GB', { ...more, hour12: style.value.clock12 }).format(ms);
const today = (ms) => new Date(ms).toDateString() === new Date().toDateString();
const hour = () => (style.value.clock12 ? 'numeric' : '2-digit');

/** timeOfDay is the time of day, weekday the short day of the week. */
export const timeOfDay = (ms) => print(ms, { hour: hour(), minute: '2-digit' });
const weekday = (ms) => print(ms, { weekday: 'short' });

/** shortTime says it in a word, moment in full. */
export const shortTime = (ms) => (today(ms) ? timeOfDay(ms) : weekday(ms));
export const dateAndTime = (ms) =>
  today(ms) ? timeOfDay(ms) : print(ms, { day: 'numeric', month: 'short', hour: hour(), minute: '2-digit' });
