// Saves a file for the person.
import { errorName } from '../core/fault.js';

// saveFile offers the file in the phone's share menu, or downloads it. It says whether the file was
// saved: a person may close that menu.
export async function saveFile(file) {
  if (matchMedia('(pointer: coarse)').matches && navigator.canShare?.({ files: [file] })) {
    try {
      await navigator.share({ files: [file] });
      return true;
    } catch (err) {
      if (errorName(err) === 'AbortError') return false;
    }
  }
  const link = document.createElement('a');
  link.href = URL.createObjectURL(file);
  link.download = file.name;
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(link.href), 60e3);
  return true;
}
