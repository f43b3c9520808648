import { mkdtempSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fillDatabase } from './many-runs.js';
import { quickestStarts } from './quickest-start.js';

const MANY = { runs: 1000, readings: 1_000_000 };
const COMMANDS = [['runs'], ['show', '950'], ['show', '950', '--json'], ['compare', '950', '960']];

/** Time of the commands that look into a database of 1000 runs and a million readings, against a node that does nothing. */
export async function databaseBench(): Promise<{ name: string; text: string; value: number }[]> {
  const folder = mkdtempSync(join(tmpdir(), 'ohmest-bench-'));
  try {
    const file = join(folder, 'runs.db');
    const { runs, readings } = fillDatabase(file, MANY);
    const size = {
      name: `${runs} runs, ${readings} readings`,
      text: `${(statSync(file).size / 1e9).toFixed(2)} GB`,
      value: readings,
    };
    return [size, ...quickestStarts(COMMANDS.map((command) => [...command, '--db', file]))];
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}
