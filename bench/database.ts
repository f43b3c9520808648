import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { fillDatabase } from './many-runs.js';

const CLI = fileURLToPath(new URL('../dist/cli/main.js', import.meta.url));
const ROUNDS = 9;
const MANY = { runs: 1000, readings: 1_000_000 };
const COMMANDS = [['runs'], ['show', '950'], ['show', '950', '--json'], ['compare', '950', '960']];

/** Time of the commands that look into a database of 1000 runs and a million readings, against a node that does nothing. */
export async function databaseBench(): Promise<{ name: string; text: string; value: number }[]> {
  const folder = mkdtempSync(join(tmpdir(), 'ohmest-bench-'));
  try {
    const file = join(folder, 'runs.db');
    const { runs, readings } = fillDatabase(file, MANY);
    const bare_ms = median(['-e', '']);
    const size = {
      name: `${runs} runs, ${readings} readings`,
      text: `${(statSync(file).size / 1e9).toFixed(2)} GB`,
      value: readings,
    };
    const lines = COMMANDS.map((command) => {
      const taken_ms = median([CLI, ...command, '--db', file]);
      return {
        name: `ohmest ${command.join(' ')}`,
        text: `${taken_ms.toFixed(0)} ms, ${(taken_ms / bare_ms).toFixed(1)} times a bare start (${bare_ms.toFixed(0)} ms)`,
        value: taken_ms,
      };
    });
    return [size, ...lines];
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

/** Median time of one start and end of node with these arguments, milliseconds. */
function median(args: readonly string[]): number {
  const times = Array.from({ length: ROUNDS }, () => {
    const begun = performance.now();
    const { status } = spawnSync(process.execPath, args, { stdio: 'ignore' });
    if (status !== 0) throw new Error(`node ${args.join(' ')} ended with ${status}`);
    return performance.now() - begun;
  });
  return times.sort((a, b) => a - b)[ROUNDS >> 1]!;
}
