import { createHash } from 'node:crypto';

/**
 * SHA-256, 64 hexadecimal digits, over what a record says.
 *
 * Taken over UTF-8 of the text without byte order mark and without every line that begins with `seal:`, lines ended by
 * LF whatever ended them, no blank space after the last character but one LF. So neither an editor's line ends nor
 * the seal itself change it; anything that can be read does, remarks included.
 */
export function sealOf(text: string): string {
  const lines = text.replace(/^\ufeff/, '').split(/\r\n|\r|\n/);
  const said = lines.filter((line) => !line.startsWith('seal:')).join('\n');
  return createHash('sha256').update(`${said.trimEnd()}\n`).digest('hex');
}
