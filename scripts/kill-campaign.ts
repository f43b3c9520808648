/** Kills runs at random instants, and finds out whether anything was lost or doubled and whether they can be gone on with. */
import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as delay } from 'node:timers/promises';
import { fileURLToPath } from 'node:url';
import Database from 'better-sqlite3';
import { resume } from '../src/cli/run/resume.js';
import { type Finding, findingKey, numberOf } from '../src/record/finding.js';
import { findingsOf } from '../src/record/findings-of.js';
import type { RunRecord } from '../src/record/run-record.js';
import { seededRandom } from '../src/signal/dither.js';
import { openRuns } from '../src/store/sqlite/sqlite-runs.js';

const MAIN = fileURLToPath(new URL('../dist/cli/main.js', import.meta.url));
const BENCH = 'ideal-40';

/** A climb, a sweep, a search for the maximum power and a hold, each as short as it can be and still be one. */
const SEQUENCE = `name: To be killed
load: 8 ohm
steps:
  - warm-up: {id: warm, level: 5 W, for: 1 s, every: 1 s}
  - climb: {id: climb-1k, frequency: 1 kHz, from: 20 W, marks: [0.1 %, 1 %]}
  - sweep: {id: band, level: 1/2 of 1 % of climb-1k, frequencies: [500 Hz, 1 kHz, 2 kHz]}
  - max-power: {id: top, threshold: 0.1 %, from: 50 W, start: 9/10 of 0.1 % of climb-1k, frequencies: [1 kHz, 2 kHz]}
  - hold: {id: stay, frequency: 1 kHz, level: 20 W, for: 3 s, every: 1 s}
`;

/** What became of one killed run. */
export interface Killed {
  readonly instant: Instant;
  /** Points that the log said were stored, and those that were found; null: there was no run yet. */
  readonly acknowledged: number;
  readonly found: number | null;
  /** Points once it had been gone on with. */
  readonly whole: number | null;
  /** What is wrong; empty when nothing is. */
  readonly faults: readonly string[];
}

/** So many milliseconds after the log has so many lines: spread over a run however busy the machine is. */
export interface Instant {
  readonly lines: number;
  readonly later_ms: number;
}

export interface Campaign {
  readonly kills: number;
  readonly seed: number;
  /** How many at a time. */
  readonly parallel: number;
  readonly each?: (killed: Killed) => void;
}

/** Longer than the program takes from one line of the log to the next, so that any place in between may be hit. */
const BETWEEN_ms = 60;
/** Longer than the program takes to its first line on an idle machine. */
const START_ms = 600;

/** Kills runs at instants drawn evenly over all that a run does, start of the program included. */
export async function killCampaign({ kills, seed, parallel, each }: Campaign): Promise<Killed[]> {
  const folder = mkdtempSync(join(tmpdir(), 'ohmest-kills-'));
  try {
    writeFileSync(join(folder, 'sequence.yaml'), SEQUENCE);
    const model = await uninterrupted(folder);
    const random = seededRandom(seed);
    const instants = Array.from({ length: kills }, (): Instant => {
      const lines = Math.floor(random() * model.lines);
      return { lines, later_ms: random() * (lines === 0 ? START_ms : BETWEEN_ms) };
    });
    const done: Killed[] = [];
    const worker = async (): Promise<void> => {
      for (let instant = instants.pop(); instant; instant = instants.pop()) {
        const killed = await killOne(folder, `run-${instants.length}.db`, instant, model.record);
        done.push(killed);
        each?.(killed);
      }
    };
    await Promise.all(Array.from({ length: parallel }, worker));
    return done;
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

const runArguments = (db: string) => [
  MAIN,
  'run',
  'sequence.yaml',
  '--bench',
  BENCH,
  '--unit',
  'U',
  '--db',
  db,
];

/** A run that nobody kills: what the others must come to, and how many lines its log has. */
async function uninterrupted(folder: string): Promise<{ record: RunRecord; lines: number }> {
  const child = spawn(process.execPath, runArguments('model.db'), { cwd: folder, stdio: 'ignore' });
  const [status] = await once(child, 'exit');
  if (status !== 0) throw new Error(`the run to compare with ended with status ${status}`);
  const db = join(folder, 'model.db');
  return { record: recordIn(db)!, lines: linesOf(`${db}.log`).length };
}

async function killOne(folder: string, name: string, instant: Instant, model: RunRecord): Promise<Killed> {
  const db = join(folder, name);
  const child = spawn(process.execPath, runArguments(name), { cwd: folder, stdio: 'ignore' });
  const gone = once(child, 'exit');
  while (child.exitCode === null && linesOf(`${db}.log`).length < instant.lines) await delay(LOOK_ms);
  await Promise.race([delay(instant.later_ms), gone]);
  child.kill('SIGKILL');
  await gone;
  const acknowledged = acknowledgedIn(`${db}.log`);
  const before = recordIn(db);
  const faults = before ? lossesIn(db, before, acknowledged) : acknowledged > 0 ? ['the run is gone'] : [];
  if (!before) return { instant, acknowledged, found: null, whole: null, faults };
  const after = before.outcome === 'completed' ? before : await goneOn(db, before);
  return {
    instant,
    acknowledged,
    found: before.points.length,
    whole: after.points.length,
    faults: [...faults, ...differences(before, after, model)],
  };
}

/** Number of the last point that the log says is stored; 0 when there is none. */
function acknowledgedIn(log: string): number {
  return linesOf(log)
    .map((line) => JSON.parse(line) as { msg: string; point?: { number: number } })
    .reduce((last, { msg, point }) => (msg === 'point' ? Math.max(last, point!.number) : last), 0);
}

/** The whole lines of a log; none when there is no log. */
function linesOf(log: string): string[] {
  return existsSync(log) ? readFileSync(log, 'utf8').split('\n').slice(0, -1) : [];
}

/** The run as any program finds it; null when it was killed before there was one. */
function recordIn(db: string): RunRecord | null {
  if (!existsSync(db)) return null;
  const store = openRuns(db, { mode: 'create' });
  try {
    return store.runs().length > 0 ? store.run(1) : null;
  } finally {
    store.close();
  }
}

function lossesIn(db: string, { outcome, points, readings }: RunRecord, acknowledged: number): string[] {
  const file = new Database(db, { readonly: true });
  const sound = file.pragma('integrity_check', { simple: true });
  file.close();
  const faults: (string | false)[] = [
    sound !== 'ok' && `the database is damaged: ${sound}`,
    outcome !== 'interrupted' && outcome !== 'completed' && `the run shows as ${outcome}`,
    points.length < acknowledged && `${acknowledged} points were stored, ${points.length} are there`,
    points.length > acknowledged + 1 && `${acknowledged} points were stored, ${points.length} are there`,
    points.some(({ number }, i) => number !== i + 1) && 'points are not numbered through',
    points.some(({ number }) => readings.filter(({ point }) => point === number).length !== 1) &&
      'a point has not exactly one reading a channel',
  ];
  return faults.filter((fault) => fault !== false);
}

async function goneOn(db: string, { run }: RunRecord): Promise<RunRecord> {
  const quiet = {
    out: () => undefined,
    err: () => undefined,
    live: false,
    width: 80,
    talkWidth: 80,
    colour: false,
  };
  await resume(quiet, String(run), { db, bench: BENCH, json: true });
  return recordIn(db)!;
}

/** How a run that was killed and gone on with differs from what it was, and from one that was not killed. */
function differences(before: RunRecord, after: RunRecord, model: RunRecord): string[] {
  const same = (a: unknown, b: unknown) => JSON.stringify(a) === JSON.stringify(b);
  const [was, found, other] = [before, after, model].map(findingsOf) as [Finding[], Finding[], Finding[]];
  const keys = found.map(findingKey);
  const expected = other.map(findingKey);
  const faults: (string | false)[] = [
    after.outcome !== 'completed' && `gone on with, it ended as ${after.outcome}: ${after.reason}`,
    !same(before.points, after.points.slice(0, before.points.length)) && 'points have changed',
    !same(before.readings, after.readings.slice(0, before.readings.length)) && 'readings have changed',
    !same(was, found.slice(0, was.length)) && 'findings have changed',
    after.points.some(({ number }, i) => number !== i + 1) && 'points are not numbered through',
    new Set(keys).size !== keys.length && 'a finding is doubled',
    !same([...keys].sort(), [...expected].sort()) && 'other findings than of a run that was not killed',
    ...found.map((finding) => {
      const twin = other.find((one) => findingKey(one) === findingKey(finding));
      const [value, wanted] = [numberOf(finding), twin ? numberOf(twin) : null];
      if (finding.quantity !== 'max-power' || value === null || wanted === null) return false;
      const off_dB = Math.abs(10 * Math.log10(value / wanted));
      return off_dB > BRACKET_dB && `${findingKey(finding)} is off by ${off_dB.toFixed(3)} dB`;
    }),
  ];
  return faults.filter((fault) => fault !== false);
}

/** How often the log is looked at. */
const LOOK_ms = 3;
/** What a crossing is narrowed down to. */
const BRACKET_dB = 0.05;
