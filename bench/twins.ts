import { execFile } from 'node:child_process';
import { readdirSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { promisify } from 'node:util';
import { readTwin } from '../src/bench/simulated/twin-file.js';
import { twinParts } from './twin-parts.js';

export interface TwinLine {
  readonly name: string;
  readonly text: string;
  readonly value: number;
}

const folder = new URL('../benches/twins/', import.meta.url);

async function measured(file: string, channels: number): Promise<TwinLine[]> {
  const script = fileURLToPath(new URL('one-twin.ts', import.meta.url));
  const { stdout } = await promisify(execFile)(process.execPath, [
    ...process.execArgv,
    script,
    file,
    `${channels}`,
  ]);
  return JSON.parse(stdout) as TwinLine[];
}

/**
 * How fast each shipped twin runs, driven at 1 kHz and 48 kHz as far as 1 % THD+N goes: with one channel and with
 * all it has (eight for a twin that serves any number); and what its parts take.
 */
export async function twinBench(): Promise<TwinLine[]> {
  const lines: TwinLine[] = [];
  for (const file of readdirSync(folder).filter((name) => name.endsWith('.yaml'))) {
    const all = readTwin(readFileSync(new URL(file, folder), 'utf8'), file).channels ?? 8;
    for (const channels of new Set([1, all])) lines.push(...(await measured(file, channels)));
  }
  return [...lines, ...twinParts()];
}
