import { existsSync, readFileSync } from 'node:fs';
import { setTimeout as delay } from 'node:timers/promises';

/** The process number that a program wrote into a file, as soon as it is there. */
export async function pidFrom(file: string): Promise<number> {
  await until(() => existsSync(file) && readFileSync(file, 'utf8') !== '');
  return Number(readFileSync(file, 'utf8'));
}

/** True while a process runs; one that is dead but not yet taken note of by its parent (a zombie) does not. */
export function isAlive(pid: number): boolean {
  try {
    process.kill(pid, 0);
    const zombie = existsSync('/proc/self/stat') && / Z /.test(readFileSync(`/proc/${pid}/stat`, 'latin1'));
    return !zombie;
  } catch {
    return false;
  }
}

/** Looks again and again until a condition holds; the test's own time limit ends the looking. */
export async function until(condition: () => boolean): Promise<void> {
  while (!condition()) await delay(5);
}
