import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

const SCRIPT = fileURLToPath(new URL('../../scripts/audio-rig.sh', import.meta.url));
const LONGEST_MS = 20_000;

export interface RigShape {
  readonly rate_Hz?: number;
  readonly channels?: 2 | 8;
  readonly limit_dB?: number;
}

/** A private sound server with the devices that `scripts/audio-rig.sh` lists. */
export class Rig {
  readonly #folder: string;
  /** Points programs at this server. */
  readonly env: Readonly<Record<string, string>>;
  readonly serverPid: number;

  constructor(shape: RigShape = {}) {
    const { rate_Hz = 48_000, channels = 2, limit_dB = -6 } = shape;
    this.#folder = mkdtempSync(join(tmpdir(), 'ohmest-rig-'));
    script('start', this.#folder, rate_Hz, channels, limit_dB);
    this.serverPid = Number(readFileSync(join(this.#folder, 'pid'), 'utf8'));
    const lines = readFileSync(join(this.#folder, 'env'), 'utf8').matchAll(/(\w+)='([^']*)'/g);
    this.env = Object.fromEntries([...lines].map(([, name, value]) => [name!, value!]));
    Object.assign(process.env, this.env);
  }

  pactl(...words: string[]): string {
    return execFileSync('pactl', words, { encoding: 'utf8', env: { ...process.env, ...this.env } });
  }

  stop(): void {
    script('stop', this.#folder);
    rmSync(this.#folder, { recursive: true, force: true });
  }
}

function script(...words: (string | number)[]): void {
  execFileSync(SCRIPT, words.map(String), { stdio: ['ignore', 'ignore', 'inherit'], timeout: LONGEST_MS });
}

/** Runs `use` on a rig of its own. */
export async function withRig<T>(shape: RigShape, use: (rig: Rig) => Promise<T>): Promise<T> {
  const rig = new Rig(shape);
  try {
    return await use(rig);
  } finally {
    rig.stop();
  }
}
