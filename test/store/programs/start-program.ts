import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { join } from 'node:path';
import { createInterface } from 'node:readline';

/** A program writing points, seen from outside. */
export interface PointProgram {
  readonly run: number;
  /** Resolves once the program has said that this point is stored. */
  reached(point: number): Promise<void>;
  /** Kills it at once (SIGKILL) and resolves to the last point that it said was stored. */
  kill(): Promise<number>;
}

/** Starts `write-points.ts` on a database. Rejects when it ends before it has begun its run. */
export async function startPointProgram(file: string, label: string): Promise<PointProgram> {
  const script = join(import.meta.dirname, 'write-points.ts');
  const child = spawn(process.execPath, ['--import', 'tsx', script, file, label], {
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  const lines = createInterface({ input: child.stdout })[Symbol.asyncIterator]();
  const next = async (): Promise<number> => {
    const { value, done } = await lines.next();
    if (done) throw new Error('the program ended before it was killed');
    return Number(value);
  };
  const run = await next();
  let last = 0;
  return {
    run,
    async reached(point) {
      while (last < point) last = await next();
    },
    async kill() {
      return await killAndDrain(child, lines, last);
    },
  };
}

/** What the program said before it died is still in the pipe. */
async function killAndDrain(
  child: ChildProcess,
  lines: AsyncIterator<string>,
  last: number,
): Promise<number> {
  const gone = once(child, 'exit');
  child.kill('SIGKILL');
  let newest = last;
  for (let line = await lines.next(); !line.done; line = await lines.next()) newest = Number(line.value);
  await gone;
  return newest;
}
