#!/usr/bin/env node
import { writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

/** What the system refuses to the program as a whole. */
const SHORT_OF: Readonly<Record<string, string>> = {
  EMFILE: 'too many files are open. Raise the limit of this shell (ulimit -n)',
  ENFILE: 'too many files are open on this machine. Close other programs',
  ENOMEM: 'there is too little memory. Close other programs',
  ENOSPC: 'the disk is full',
};

/** Neither bad input nor the bench's fault. */
const FAILED = 1;

/** Command and its first words: enough to say what was being done. */
const asTyped = (): string =>
  ['ohmest', ...process.argv.slice(2, 4)]
    .map((word) => word.replace(/[^\x20-\x7e]/g, '?').slice(0, 60))
    .join(' ');

/** Where the details of a failure are kept; null when there is no room for them either. */
function kept(details: string): string | null {
  const file = join(tmpdir(), `ohmest-failure-${process.pid}.txt`);
  try {
    writeFileSync(file, details, { flag: 'wx', mode: 0o600 });
    return file;
  } catch {
    return null;
  }
}

/**
 * The end of the program by whatever nobody foresaw: one line that says what was being done and where the details are. It needs
 * nothing that would first have to be loaded, since files to open may be what has run out.
 */
function lastWords(error: unknown): void {
  const { code = '', message = String(error), stack = message } = (error ?? {}) as NodeJS.ErrnoException;
  const details = `${asTyped()}\nNode ${process.version}, ${process.platform}\n${stack}\n`;
  const reason =
    SHORT_OF[code] ?? `${message.split('\n')[0]!.slice(0, 300)}. This is a fault of ohmest: please report it`;
  const file = process.env.OHMEST_STACK ? null : kept(details);
  const where = file === null ? 'OHMEST_STACK=1 ohmest … prints the details' : `Details: ${file}`;
  const line = `ohmest: '${asTyped()}' failed: ${reason}. ${where}.`.replace(/[^\x20-\x7e…]/g, '?');
  try {
    process.stderr.write(`${process.env.OHMEST_STACK ? details : ''}${line}\n`);
    if (process.argv.includes('--json'))
      process.stdout.write(
        `${JSON.stringify({ error: { code: code in SHORT_OF ? code : 'INTERNAL', what: reason } })}\n`,
      );
  } finally {
    process.exitCode = FAILED;
  }
}

process.on('uncaughtException', (error) => {
  lastWords(error);
  process.exit();
});
try {
  await import('./program.js');
} catch (error) {
  lastWords(error);
}
