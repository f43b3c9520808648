import { type ChildProcess, spawn } from 'node:child_process';
import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { setPriority } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import type { RunRecord } from '../../src/record/run-record.js';
import { openRuns } from '../../src/store/sqlite/sqlite-runs.js';
import { until } from '../../test/audio/until.js';

const here = (path: string) => fileURLToPath(new URL(path, import.meta.url));
const MAIN = here('../../dist/cli/main.js');
const NOTES = pathToFileURL(here('note-commits.mjs')).href;
/** A name, and yes to whatever is asked. */
const ANSWERS = `Operator\n${'y\n'.repeat(40)}`;

const SEQUENCE = `name: To be harmed
load: 8 ohm
driven: all
steps:
  - sweep: {id: band, level: 50 W, frequencies: [250 Hz, 1 kHz]}
  - hold: {id: stay, frequency: 1 kHz, level: 50 W, for: 9 s, every: 1 s}
`;

/** One line of the log: what a point is known by once it has been committed. */
interface LogLine {
  readonly time: string;
  readonly msg: string;
  readonly point?: { readonly number: number };
}

/** `ohmest run` as a program of its own, on a bench that plays in the world's time. */
export class SoundRun {
  readonly child: ChildProcess;
  readonly db: string;
  readonly #folder: string;
  #said = '';

  /** @param bench the bench file */
  constructor(folder: string, env: Readonly<Record<string, string>>, bench: string) {
    this.#folder = folder;
    this.db = join(folder, 'runs.db');
    writeFileSync(join(folder, 'sequence.yaml'), SEQUENCE);
    writeFileSync(join(folder, 'bench.yaml'), bench);
    const args = [
      'run',
      'sequence.yaml',
      '--bench',
      './bench.yaml',
      '--unit',
      'Invented unit',
      '--db',
      this.db,
    ];
    this.child = spawn(process.execPath, ['--import', NOTES, MAIN, ...args], {
      cwd: folder,
      // A session of its own, which comes before those that keep the machine busy: as a bench's own computer has nothing else to do.
      detached: true,
      env: { ...process.env, ...env, OHMEST_COMMITS: join(folder, 'commits') },
    });
    hurry(this.child.pid!);
    for (const stream of [this.child.stdout!, this.child.stderr!])
      stream.setEncoding('utf8').on('data', (text: string) => {
        this.#said += text;
      });
    this.child.stdin!.on('error', () => {});
    this.child.stdin!.end(ANSWERS);
  }

  /** All that it has said. */
  get said(): string {
    return this.#said;
  }

  /** The process that holds the sound device. */
  get hostPid(): number {
    const { pid } = this.child;
    return Number(readFileSync(`/proc/${pid}/task/${pid}/children`, 'utf8').trim().split(' ')[0]);
  }

  get hasEnded(): boolean {
    return this.child.exitCode !== null || this.child.signalCode !== null;
  }

  /** Points whose commit has come back. */
  get committed(): number {
    return this.log().filter(({ msg }) => msg === 'point').length;
  }

  log(): LogLine[] {
    const file = `${this.db}.log`;
    if (!existsSync(file)) return [];
    const lines = readFileSync(file, 'utf8').split('\n').slice(0, -1);
    return lines.map((line) => JSON.parse(line) as LogLine);
  }

  /** When the first commit began that was refused, by `performance.now` of this process; null: none was. */
  get refused_ms(): number | null {
    const lines = readFileSync(join(this.#folder, 'commits'), 'utf8').split('\n');
    const [begun] = lines.find((line) => line.endsWith('refused'))?.split(' ') ?? [];
    return begun === undefined ? null : Number(begun) - performance.timeOrigin;
  }

  async points(number: number): Promise<void> {
    await until(`${number} points are stored`, () => this.committed >= number || this.hasEnded, 60_000);
    if (this.hasEnded)
      throw new Error(`the run ended before anything was done to it: ${this.#said.slice(-300)}`);
  }

  async ended(longest_ms = 40_000): Promise<number | null> {
    await until('the run ends', () => this.hasEnded, longest_ms);
    return this.child.exitCode;
  }

  /** Ends whatever is left of it. */
  stop(): void {
    if (!this.hasEnded) this.child.kill('SIGKILL');
  }

  record(file = this.db): RunRecord {
    const store = openRuns(file, { mode: 'write' });
    try {
      return store.run(1);
    } finally {
      store.close();
    }
  }
}

const NICENESS = -5;

/** Not everybody may put a program first; then it runs like everything else. */
function hurry(pid: number): void {
  try {
    setPriority(pid, NICENESS);
    writeFileSync(`/proc/${pid}/autogroup`, String(NICENESS), { flag: 'r+' });
  } catch {
    // As above.
  }
}
