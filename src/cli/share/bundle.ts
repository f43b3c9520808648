import { existsSync, renameSync, rmSync, statSync } from 'node:fs';
import { RunNotPackable } from '../../bundle/bundle-errors.js';
import { readBundle } from '../../bundle/read-bundle.js';
import { writeBundle } from '../../bundle/write-bundle.js';
import { InputError, OhmestError } from '../../errors/ohmest-error.js';
import { openStore } from '../../store/sqlite/sqlite-store.js';
import { visibleName } from '../../units/visible-text.js';
import { runNumber } from '../look/run-number.js';
import { ownVersion } from '../terminal/own-version.js';
import type { Terminal } from '../terminal/terminal.js';
import { FileUnwritable, requireWritable } from '../terminal/write-output.js';

/** `ohmest bundle`: a run in one file, for another database. */
export async function bundle(
  terminal: Terminal,
  run: string,
  options: {
    readonly db: string;
    readonly output: string;
    readonly captures?: boolean;
    readonly json?: boolean;
  },
): Promise<number> {
  const number = runNumber(run);
  const store = await openStore(options.db, { mode: 'read' });
  try {
    const content = await store.content(number);
    const source = options.captures ? (point: number) => store.capture(number, point) : null;
    const packed = await writeWhole(options.output, async (path) => {
      const done = await writeBundle(path, content, ownVersion(), source);
      await proveReadable(path, number);
      return done;
    });
    const kept = content.captures.length;
    const bytes = statSync(options.output).size;
    if (options.json)
      terminal.out(
        JSON.stringify({ run: number, file: options.output, bytes, captures_kept: kept, ...packed }, null, 2),
      );
    else
      terminal.out(
        `run ${number} packed into ${visibleName(options.output)}, ${(bytes / 1e6).toFixed(2)} MB, ${captureWords(packed.captures, kept)}`,
      );
    return 0;
  } finally {
    await store.close();
  }
}

/** Whoever gets the file must be able to import it: better told now than there. @throws RunNotPackable */
async function proveReadable(path: string, run: number): Promise<void> {
  try {
    (await readBundle(path)).close();
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    throw new RunNotPackable(run, error.explanation, { cause: error });
  }
}

function captureWords(packed: number, kept: number): string {
  if (packed > 0) return `with the captures of ${packed} points`;
  return kept === 0
    ? 'no captures were kept of it'
    : `without the captures of ${kept} points (--captures packs them)`;
}

/**
 * Writes a file that has its name only when all of it is there.
 *
 * @throws FileUnwritable
 */
async function writeWhole<T>(file: string, write: (path: string) => Promise<T>): Promise<T> {
  requireWritable(file, 'bundle');
  const there = statSync(file, { throwIfNoEntry: false });
  if (there && !there.isFile())
    throw new FileUnwritable({
      what: 'this is a device or a pipe, not a file',
      where: file,
      mend: 'Name a file',
    });
  const unfinished = `${file}.part`;
  if (existsSync(unfinished))
    throw new FileUnwritable({
      what: 'this is in the way: the bundle has this name while it is written',
      where: unfinished,
      mend: 'Take it away (it may be left over from an interrupted bundle), or name another file',
    });
  try {
    const done = await write(unfinished);
    renameSync(unfinished, file);
    return done;
  } catch (error) {
    rmSync(unfinished, { force: true });
    if (error instanceof OhmestError) throw error;
    const { code } = error as NodeJS.ErrnoException;
    if (code === undefined) throw error;
    const reasons: Record<string, string> = {
      ENOSPC: 'the disk is full',
      ENAMETOOLONG: 'the name is too long',
    };
    const what = reasons[code] ?? `this file cannot be written (${code})`;
    throw new FileUnwritable({ what, where: file, mend: 'Name another file', cause: error });
  }
}
