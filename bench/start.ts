import { spawnSync } from 'node:child_process';
import { fileURLToPath } from 'node:url';

const CLI = fileURLToPath(new URL('../dist/cli/main.js', import.meta.url));
const ROUNDS = 15;

function milliseconds(args: readonly string[]): number {
  const begun = performance.now();
  const { status } = spawnSync(process.execPath, args, { stdio: 'ignore' });
  if (status !== 0) throw new Error(`node ${args.join(' ')} ended with ${status}`);
  return performance.now() - begun;
}

/** Time to `ohmest --help` against a node that does nothing; medians of alternating starts. */
export async function startBench(): Promise<{ name: string; text: string; value: number }[]> {
  const bare: number[] = [];
  const help: number[] = [];
  for (let round = 0; round < ROUNDS; round += 1) {
    bare.push(milliseconds(['-e', '']));
    help.push(milliseconds([CLI, '--help']));
  }
  const median = (times: number[]) => times.sort((a, b) => a - b)[ROUNDS >> 1]!;
  const [bare_ms, help_ms] = [median(bare), median(help)];
  const value = help_ms / bare_ms;
  return [
    {
      name: 'ohmest --help',
      text: `${help_ms.toFixed(0)} ms, ${value.toFixed(2)} times a bare start (${bare_ms.toFixed(0)} ms)`,
      value,
    },
  ];
}
