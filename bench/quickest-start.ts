import { spawnSync } from 'node:child_process';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

const CLI = fileURLToPath(new URL('../dist/cli/main.js', import.meta.url));
const TELLS_CPU = join(import.meta.dirname, 'cpu-at-exit.cjs');
const ROUNDS = 15;

/** One start of a program, to its end. */
interface Taken {
  /** By the clock, milliseconds. */
  readonly wall_ms: number;
  /** Of the processor, all threads of the process added up: what another program takes meanwhile hardly shows. */
  readonly cpu_ms: number;
}

/**
 * The least that each command took of 15 starts, by turns with each other and with a node that does nothing. What else the
 * machine does only ever adds.
 */
export function quickestStarts(
  commands: readonly (readonly string[])[],
): { readonly name: string; readonly text: string; readonly value: number }[] {
  const programs = [['-e', ''], ...commands.map((command) => [CLI, ...command])];
  const least = programs.map((): Taken => ({ wall_ms: Infinity, cpu_ms: Infinity }));
  for (let round = 0; round < ROUNDS; round += 1) {
    for (const [i, args] of programs.entries()) {
      const { wall_ms, cpu_ms } = started(args);
      least[i] = {
        wall_ms: Math.min(wall_ms, least[i]!.wall_ms),
        cpu_ms: Math.min(cpu_ms, least[i]!.cpu_ms),
      };
    }
  }
  const words = ({ wall_ms, cpu_ms }: Taken) => `${wall_ms.toFixed(0)} ms, CPU ${cpu_ms.toFixed(0)} ms`;
  const [bare, ...own] = least;
  return own.map((taken, i) => ({
    name: `ohmest ${commands[i]!.filter((word, at, all) => word !== '--db' && all[at - 1] !== '--db').join(' ')}`,
    text: `${words(taken)}; ${(taken.cpu_ms / bare!.cpu_ms).toFixed(2)} times a bare start (${words(bare!)})`,
    value: taken.wall_ms,
  }));
}

function started(args: readonly string[]): Taken {
  const begun_ms = performance.now();
  const { status, output } = spawnSync(process.execPath, ['--require', TELLS_CPU, ...args], {
    stdio: ['ignore', 'ignore', 'ignore', 'pipe'],
    encoding: 'utf8',
  });
  const wall_ms = performance.now() - begun_ms;
  if (status !== 0) throw new Error(`node ${args.join(' ')} ended with ${status}`);
  return { wall_ms, cpu_ms: Number(output[3]) / 1000 };
}
