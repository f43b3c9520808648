/**
 * Joins what `ohmest` is made of into a few files: node takes about half a millisecond to find, read and compile each one,
 * and a command needs a hundred. What a command does not need stays in parts of its own, which it never loads. The
 * sound process, and the pages that browsers are served, run from the files that the compiler has written.
 */
import { readdirSync, rmSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { build } from 'esbuild';

const FOLDER = join(import.meta.dirname, '..', 'dist', 'cli');
const PART = 'part-';
/** A program that runs while it is built anew, for as long as a bench may take, still finds the parts it has not loaded yet. */
const KEPT_ms = 24 * 3600 * 1000;

const { metafile } = await build({
  entryPoints: [join(import.meta.dirname, '..', 'src', 'cli', 'main.ts')],
  outdir: FOLDER,
  bundle: true,
  splitting: true,
  chunkNames: `${PART}[name]-[hash]`,
  format: 'esm',
  platform: 'node',
  target: 'node20',
  packages: 'external',
  sourcemap: true,
  metafile: true,
  logLevel: 'warning',
});

const current = new Set(Object.keys(metafile.outputs).map((path) => path.split('/').at(-1)));
const outdated = readdirSync(FOLDER)
  .filter((name) => name.startsWith(PART) && !current.has(name))
  .map((name) => join(FOLDER, name))
  .filter((file) => Date.now() - statSync(file).mtimeMs > KEPT_ms);
for (const file of outdated) rmSync(file, { force: true });
