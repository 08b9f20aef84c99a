// Writes when something was: today only with the time, otherwise also with the day.
import { style } from '../device/settings.js';

const format = (ms, more) => new Intl.DateTimeFormat('en-GB', { ...more, hour12: style.value.clock12 }).format(ms);
const isToday = (ms) => new Date(ms).toDateString() === new Date().toDateString();
const hourStyle = () => (style.value.clock12 ? 'numeric' : '2-digit');

/** timeOfDay returns the time of day, weekday the short day of the week. */
export const timeOfDay = (ms) => format(ms, { hour: hourStyle(), minute: '2-digit' });
const weekday = (ms) => format(ms, { weekday: 'short' });

/** shortTime returns the time or the weekday, dateAndTime the full date and time. */
export const shortTime = (ms) => (isToday(ms) ? timeOfDay(ms) : weekday(ms));
export const dateAndTime = (ms) =>
  isToday(ms) ? timeOfDay(ms) : format(ms, { day: 'numeric', month: 'short', hour: hourStyle(), minute: '2-digit' });
