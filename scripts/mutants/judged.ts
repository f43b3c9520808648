import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { root } from './root.js';

/** Whether a survivor of a file, told by the code that was and the code that took its place, is known to be equivalent. */
export type Judged = (file: string, from: string, to: string) => boolean;

/** Reads the rows ``| file | `from` | `to` | reason |`` of docs/mutants.md. */
export function judgedSurvivors(): Judged {
  const rows = readFileSync(join(root, 'docs', 'mutants.md'), 'utf8')
    .split('\n')
    .map((line) => line.split(/(?<!\\)\|/).map((cell) => cell.trim().replaceAll('\\|', '|')))
    .filter(([, file, , , reason]) => file?.startsWith('src/') && reason);
  const known = new Set(rows.map(([, file, from, to]) => `${file} ${from} ${to}`));
  return (file, from, to) => known.has(`${file} \`${from}\` \`${to}\``);
}
