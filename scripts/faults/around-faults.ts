import { execFileSync, spawnSync } from 'node:child_process';
import { copyFileSync, existsSync, mkdirSync, readdirSync, readFileSync, renameSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { setTimeout as delay } from 'node:timers/promises';
import Database from 'better-sqlite3';
import type { AroundFault, Place } from './around-fault.js';
import { DISK, fill } from './fill-disk.js';
import type { Outcome } from './harmed-run.js';
import { SetBackClock } from './set-back-clock.js';
import { truth } from './simulated-fault.js';

const BACK_s = 2 * 86_400;
/** How many readings are missing of those that a run without a fault has. */
async function missing({ record }: Outcome): Promise<string | false> {
  const whole = (await truth()).readings.length;
  return record.readings.length < whole && `${record.readings.length} readings of ${whole}`;
}

const unlessSaid = ({ message, said }: Outcome, what: RegExp) =>
  ![message, ...said].some((text) => what.test(text)) && 'nothing shows that the fault was there';

/** Whatever lies in the database's place now is not ours to write to. */
const unlessLeftAlone = ({ folder, db }: Place) =>
  !readFileSync(db).equals(readFileSync(join(folder, 'other.db'))) &&
  'the file that took its place was written to';

/** What passes for a copy must open, and what was moved must not have been damaged. */
function whatOpens({ folder }: Place): readonly (string | false)[] {
  const found = readdirSync(folder).filter((name) => name === 'runs.db' || name.includes('.rescued'));
  return found.map((name) => {
    try {
      const db = new Database(join(folder, name));
      const state = db.pragma('integrity_check', { simple: true });
      db.close();
      return state !== 'ok' && `${name} is damaged: ${state}`;
    } catch (error) {
      return `${name} does not open: ${(error as Error).message}`;
    }
  });
}

let leftBehind: readonly (string | false)[] = [];
let holder: Database.Database | null = null;
let clock: SetBackClock | null = null;

export const AROUND_FAULTS: readonly AroundFault[] = [
  {
    name: 'disk-full',
    words: 'the disk of the database fills up',
    ends: ['fault', 'interrupted'],
    // Needs the superuser: a disk of its own is the only way to fill one.
    before: ({ folder }) => execFileSync('mount', ['-t', 'tmpfs', '-o', DISK, 'tmpfs', folder]),
    during: ({ folder }) => fill(folder),
    over: ({ folder }) => rmSync(join(folder, 'filler'), { force: true }),
    clear: ({ folder }) => void spawnSync('umount', ['-l', folder], { stdio: 'ignore' }),
    misses: (run) => [unlessSaid(run, /disk is full/)],
  },
  {
    name: 'database-locked',
    words: 'another program locks the database and does not let go',
    ends: ['interrupted'],
    during: ({ db }) => {
      holder = new Database(db);
      holder.exec('BEGIN EXCLUSIVE');
    },
    over: () => holder?.close(),
    clear: () => holder?.close(),
    misses: (run) => [unlessSaid(run, /another program locked the database/)],
  },
  {
    name: 'database-replaced',
    words: 'the database is moved away and another file put in its place',
    ends: ['interrupted'],
    before: ({ folder, db }) => {
      new Database(join(folder, 'other.db')).exec('CREATE TABLE invented (number)').close();
      rmSync(db, { force: true });
    },
    during: ({ folder, db }) => {
      renameSync(db, join(folder, 'moved.db'));
      copyFileSync(join(folder, 'other.db'), db);
    },
    endsIn: ({ folder }) => join(folder, 'moved.db'),
    misses: (run, place) => [unlessSaid(run, /moved, deleted or replaced/), unlessLeftAlone(place)],
  },
  {
    name: 'database-moved-disk-full',
    words: 'the database is moved away, and its disk fills up',
    ends: ['interrupted'],
    before: ({ folder }) => execFileSync('mount', ['-t', 'tmpfs', '-o', DISK, 'tmpfs', folder]),
    during: ({ folder, db }) => {
      renameSync(db, join(folder, 'moved.db'));
      fill(folder);
    },
    over: (place) => {
      rmSync(join(place.folder, 'filler'), { force: true });
      // As what is said asks for.
      renameSync(join(place.folder, 'moved.db'), place.db);
      leftBehind = whatOpens(place);
    },
    clear: ({ folder }) => void spawnSync('umount', ['-l', folder], { stdio: 'ignore' }),
    misses: (run) => [unlessSaid(run, /moved, deleted or replaced/), ...leftBehind],
  },
  {
    name: 'database-written-over',
    words: 'another file is copied over the database',
    ends: ['interrupted'],
    before: ({ folder }) => {
      new Database(join(folder, 'other.db')).exec('CREATE TABLE invented (number)').close();
    },
    // By another program: who closes a file gives up all locks that his own process holds on it.
    during: ({ folder, db }) => {
      const earlier = new Database(db);
      earlier.pragma('wal_checkpoint(TRUNCATE)');
      earlier.close();
      execFileSync('cp', [join(folder, 'other.db'), db]);
    },
    endsIn: ({ db }) => `${db}.rescued-run-1`,
    misses: (run, place) => [unlessSaid(run, /damaged or written over/), unlessLeftAlone(place)],
  },
  {
    name: 'database-cut',
    words: 'the database is cut off after its first page, and its log emptied',
    ends: ['interrupted'],
    during: ({ db }) => {
      execFileSync('truncate', ['-s', '4096', db]);
      execFileSync('truncate', ['-s', '0', `${db}-wal`]);
    },
    endsIn: ({ db }) => `${db}.rescued-run-1`,
    misses: (run) => [unlessSaid(run, /damaged or written over/)],
  },
  {
    name: 'database-log-deleted',
    words: 'the -wal file of the database is deleted',
    ends: ['interrupted'],
    during: ({ db }) => rmSync(`${db}-wal`),
    misses: (run) => [unlessSaid(run, /moved, deleted or replaced/)],
  },
  {
    name: 'log-unwritable',
    words: 'the log cannot be written',
    ends: ['completed'],
    before: ({ db }) => mkdirSync(`${db}.log`),
    tells: /^the log/,
    misses: async (run) => [
      unlessSaid(run, /the log .* cannot be written/),
      run.said.filter((text) => /the log/.test(text)).length > 1 && 'that is said more than once',
      await missing(run),
    ],
  },
  {
    name: 'clock-set-back',
    words: "the computer's clock is set back by two days",
    ends: ['completed'],
    during: () => {
      clock = new SetBackClock(BACK_s);
    },
    clear: () => {
      clock?.restore();
      clock = null;
    },
    misses: async (run) => [
      (clock?.asked ?? 0) === 0 && 'nobody asked the clock, so nothing is shown',
      await missing(run),
      ...clockMisses(run),
    ],
  },
  {
    name: 'clock-set-forward',
    words: "the computer's clock is set forward by two days",
    ends: ['completed'],
    during: () => {
      clock = new SetBackClock(-BACK_s);
    },
    clear: () => {
      clock?.restore();
      clock = null;
    },
    misses: async (run) => [
      (clock?.asked ?? 0) === 0 && 'nobody asked the clock, so nothing is shown',
      await missing(run),
      ...clockMisses(run),
    ],
  },
  {
    name: 'probe-hanging',
    words: 'the program of a needed sensor hangs (time of this bench does not wait for it)',
    ends: ['completed'],
    bench: ({ folder }) => `probes:
  - name: fan
    argv: [sh, -c, "echo $$ > ${join(folder, 'pid')}; exec sleep 3600"]
    unit: rpm
    every: 1 h
    timeout: 1 h
    needed: yes
`,
    misses: async (run, place) => [await missing(run), ...(await probeMisses(place))],
  },
];

function clockMisses({ record: { points, events } }: Outcome): (string | false)[] {
  const backwards = (times: readonly number[]) => times.some((at_s, i) => i > 0 && at_s < times[i - 1]!);
  return [
    backwards(points.map(({ at_s }) => at_s)) && 'the times of points run backwards',
    backwards(events.map(({ at_s }) => at_s)) && 'the times of events run backwards',
  ];
}

async function probeMisses({ folder }: Place): Promise<(string | false)[]> {
  const file = join(folder, 'pid');
  if (!existsSync(file)) return ['the probe was never started, so nothing is shown'];
  const isAlive = () => spawnSync('kill', ['-0', readFileSync(file, 'utf8').trim()]).status === 0;
  const end_ms = performance.now() + GONE_ms;
  // What has been killed is gone once this process has taken note of it.
  while (isAlive() && performance.now() < end_ms) await delay(5);
  return [isAlive() && 'the probe program outlived the run'];
}

/** Longest time for a program to end that was killed. */
const GONE_ms = 2000;
