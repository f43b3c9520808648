import { execFileSync, spawn, spawnSync } from 'node:child_process';
import { copyFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { inFolder } from './harmed-run.js';
import type { Row, Trial } from './row.js';

const MAIN = fileURLToPath(new URL('../../dist/cli/main.js', import.meta.url));
/** A command that has not ended by then, on however busy a machine, hangs. */
const HANG_ms = 60_000;

export interface Ended {
  /** Null for a command that hung, or that a signal ended. */
  readonly status: number | null;
  readonly stdout: string;
  readonly stderr: string;
}

/** How a command is started. */
export interface Around {
  readonly input?: string;
  readonly env?: Readonly<Record<string, string>>;
  /** Words of a shell that come before it, as `ulimit -n 30`. */
  readonly under?: string;
}

/** A folder of its own, with ohmest as a program that is started in it. */
export class Stand {
  /** @param folder of the files */
  constructor(readonly folder: string) {}

  at(name: string): string {
    return join(this.folder, name);
  }

  put(files: Readonly<Record<string, string | Uint8Array>>): void {
    for (const [name, content] of Object.entries(files)) writeFileSync(this.at(name), content);
  }

  copy(from: string, to: string): void {
    copyFileSync(this.at(from), this.at(to));
  }

  /** Runs a command to its end, or until it is plain that it hangs. */
  ohmest(args: readonly string[], around: Around = {}): Promise<Ended> {
    const child = this.start(args, around);
    const said = { stdout: '', stderr: '' };
    for (const name of ['stdout', 'stderr'] as const)
      child[name].setEncoding('utf8').on('data', (text: string) => {
        said[name] += text;
      });
    child.stdin.on('error', () => {});
    child.stdin.end(around.input ?? '');
    const timer = setTimeout(() => child.kill('SIGKILL'), HANG_ms);
    return new Promise((resolve, reject) => {
      child.on('error', reject);
      child.on('close', (status) => {
        clearTimeout(timer);
        resolve({ status, ...said });
      });
    });
  }

  start(args: readonly string[], { env = {}, under = 'true' }: Around = {}) {
    const whole = [process.execPath, MAIN, ...args];
    // What outlasts a database stays in this folder.
    const surroundings = { ...process.env, XDG_STATE_HOME: this.at('state'), OHMEST_BENCH: '', ...env };
    return spawn('sh', ['-c', `${under}; exec "$@"`, 'sh', ...whole], {
      cwd: this.folder,
      env: surroundings,
    });
  }
}

/** What somebody may put in the way of a command: files, permits, programs, a full disk. */
export interface Attempt {
  readonly name: string;
  readonly words: string;
  /** Whether the folder is a disk of its own, which takes the superuser. */
  readonly disk?: boolean;
  /** Puts it in the way. @returns the command that met it, and what is not as it must be */
  readonly try: (stand: Stand) => Promise<{ readonly met: Ended; readonly misses: Misses }>;
}

export type Misses = readonly (string | false)[];

/** Misses of a command that must end so: with this status, saying this, in one message. */
export function unlessSaid({ status, stdout, stderr }: Ended, wanted: number, what: RegExp): Misses {
  const text = `${stdout}\n${stderr}`.replaceAll(/\s+/g, ' ');
  return [
    status === null && 'it hung, or died',
    status !== null && status !== wanted && `it ended with ${status}: ${stderr.slice(-300)}`,
    !what.test(text) && `it does not say ${what.source}, but: ${text.slice(-300)}`,
    /\n {4}at |Error: /.test(stderr) && 'it tells of its own code',
    (stderr.match(/^ohmest: /gm)?.length ?? 0) > 1 && 'it says more than one thing',
  ];
}

const DISK = 'size=24m';

async function trialOf(attempt: Attempt, folder: string): Promise<Trial> {
  if (attempt.disk) execFileSync('mount', ['-t', 'tmpfs', '-o', DISK, 'tmpfs', folder]);
  try {
    const { met, misses } = await attempt.try(new Stand(folder));
    const judged = { committed: 0, kept: 0, lost: 0, flagged: 0, wrong: [] };
    return {
      ...{ silence_ms: null, outcome: '', status: met.status, judged, message: messageOf(met) },
      misses: misses.filter((miss) => miss !== false),
    };
  } finally {
    if (attempt.disk) spawnSync('umount', ['-l', folder], { stdio: 'ignore' });
  }
}

/** The failure if there is one; else what was said first. */
function messageOf({ stdout, stderr }: Ended): string {
  const failure = /^ohmest: .*(\n {2}.*)*/m.exec(stderr)?.[0];
  return failure ?? `${stderr}\n${stdout}`.trim().split('\n')[0]!;
}

/** A command of which only so much is of interest, in one line; all of it where it does not say that. */
export function telling(ended: Ended, what: RegExp): Ended {
  const said = what.exec(`${ended.stderr}\n${ended.stdout}`.replaceAll(/\s+/g, ' '))?.[0];
  return said === undefined ? ended : { ...ended, stdout: '', stderr: said };
}

export async function attemptRow(attempt: Attempt, times: number): Promise<Row> {
  const trials: Trial[] = [];
  for (let n = 0; n < times; n += 1) trials.push(await inFolder((folder) => trialOf(attempt, folder)));
  return { name: attempt.name, words: attempt.words, trials, limit: null };
}
