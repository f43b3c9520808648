import { fork } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Account, Orders } from './worker.js';

/** A case that is not done after this long, on however busy a computer, never will be. */
const HANG_S = 60;

/**
 * Keeps garbage from piling up, so that what is measured is what is needed: a process that needs more dies, and fails.
 */
const HEAP = '--max-old-space-size=256';

/**
 * Fuzzes one reader in a process of its own, so that its memory is its own and a hang can be ended.
 *
 * @returns what it came to; a hang or a death of the process is a failure like any other
 */
export async function watched(orders: Omit<Orders, 'diary'>): Promise<Account> {
  const folder = mkdtempSync(join(tmpdir(), 'fuzz-'));
  const diary = join(folder, 'case');
  try {
    return await watch({ ...orders, diary });
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

function watch(orders: Orders): Promise<Account> {
  return new Promise((resolve) => {
    const child = fork(join(import.meta.dirname, 'worker.ts'), { execArgv: [...process.execArgv, HEAP] });
    let [seen, since, hung] = ['', performance.now(), false];
    const timer = setInterval(() => {
      const now = currentCase(orders.diary);
      if (now !== seen) [seen, since] = [now, performance.now()];
      else if (performance.now() - since > HANG_S * 1000) hung = child.kill('SIGKILL');
    }, 1000);
    let account: Account | null = null;
    child.on('message', (message) => {
      account = message as Account;
    });
    child.on('exit', (status, signal) => {
      clearInterval(timer);
      const at = `case ${currentCase(orders.diary)}, seed ${orders.seed}`;
      const why = hung
        ? `no answer within ${HANG_S} s to ${at}`
        : `its process ended (${signal ?? status}) at ${at}`;
      resolve(account ?? broken(orders.name, why));
    });
    child.send(orders);
  });
}

function currentCase(diary: string): string {
  try {
    return readFileSync(diary, 'utf8').trim();
  } catch {
    return '';
  }
}

function broken(name: string, failure: string): Account {
  return { name, cases: 0, read: 0, refused: 0, slowest_s: 0, mean_s: 0, memory_MB: 0, wall_s: 0, failure };
}
