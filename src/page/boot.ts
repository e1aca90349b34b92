import { inflateSync } from 'fflate';
import { fromBase91 } from './base91.js';

/**
 * Unpacks the style, the key and the program of the page and starts it. Unpacked, the program would be three times as large; browsers that
 * are in use cannot all unpack by themselves. The content security policy names program and style by their hashes, so nothing else can be started.
 */
function start(): void {
  const style = document.createElement('style');
  style.textContent = unpack('style');
  document.head.append(style);
  unpack('key');
  const script = document.createElement('script');
  script.textContent = unpack('program');
  document.body.append(script);
}

/** Puts what was packed in an element into it unpacked. */
function unpack(id: string): string {
  const element = document.getElementById(id);
  const text = new TextDecoder().decode(inflateSync(fromBase91(element?.textContent ?? '')));
  if (element !== null) element.textContent = text;
  return text;
}

// What is older than the program, or was damaged on its way, stops here: the page says so, in words that it holds unpacked.
addEventListener('error', () => {
  const said = document.getElementById('failed');
  if (said !== null) said.hidden = false;
});
start();
