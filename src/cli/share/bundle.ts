import { statSync } from 'node:fs';
import { RunNotPackable } from '../../bundle/bundle-errors.js';
import { readBundle } from '../../bundle/read-bundle.js';
import { writeBundle } from '../../bundle/write-bundle.js';
import { InputError } from '../../errors/ohmest-error.js';
import { visibleName } from '../../units/visible-text.js';
import { inStore, runNumber } from '../look/asked-runs.js';
import { ownVersion } from '../terminal/own-version.js';
import type { Terminal } from '../terminal/terminal.js';
import { requireWritable, writeUserFile } from '../terminal/write-output.js';

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
  requireWritable(options.output, 'bundle');
  return inStore(options.db, async (store) => {
    const content = await store.content(number);
    const source = options.captures ? (point: number) => store.capture(number, point) : null;
    const packed = await writeUserFile(options.output, 'bundle', async (path) => {
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
  });
}

/** Whoever gets the file must be able to import it: better told now than there. @throws RunNotPackable */
async function proveReadable(path: string, run: number): Promise<void> {
  try {
    (await readBundle(path)).close();
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    throw new RunNotPackable(run, error.explanation, error);
  }
}

function captureWords(packed: number, kept: number): string {
  if (packed > 0) return `with the captures of ${packed} points`;
  return kept === 0
    ? 'no captures were kept of it'
    : `without the captures of ${kept} points (--captures packs them)`;
}
