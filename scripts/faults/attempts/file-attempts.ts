import { execFileSync } from 'node:child_process';
import { once } from 'node:events';
import { existsSync, readdirSync, readFileSync, rmSync, watch } from 'node:fs';
import Database from 'better-sqlite3';
import { device, programBench, SHORT } from '../../../test/cli/stand.js';
import { reseal } from '../../../test/store/reseal.js';
import { type Attempt, type Ended, type Misses, type Stand, telling, unlessSaid } from '../attempt.js';
import { fill } from '../fill-disk.js';

const RUN = ['run', 'short.yaml', '--bench', 'ideal-40', '--unit', 'U'];

async function recorded(stand: Stand, ...more: readonly string[]): Promise<void> {
  stand.put({ 'short.yaml': SHORT });
  const { status, stderr } = await stand.ohmest([...RUN, ...more]);
  if (status !== 0) throw new Error(`no run was recorded: ${stderr}`);
}

/** Changes a database behind the program's back. */
function changed(stand: Stand, sql: string): void {
  const db = new Database(stand.at('ohmest.db'));
  if (sql.startsWith('PRAGMA')) db.pragma(sql.slice('PRAGMA '.length));
  else {
    if (db.prepare(sql).run().changes === 0) throw new Error(`nothing was changed by ${sql}`);
    reseal(db, 1);
  }
  db.close();
}

/** Whatever reads a database, each of which must end in the same one message. */
async function allSay(stand: Stand, what: RegExp): Promise<{ met: Ended; misses: Misses }> {
  const all = [];
  for (const args of [['runs'], ['show', '1'], ['export', '1', '--format', 'csv'], RUN])
    all.push(await stand.ohmest(args));
  return { met: all[0]!, misses: all.flatMap((met) => unlessSaid(met, 2, what)) };
}

const leftovers = (stand: Stand): string[] =>
  readdirSync(stand.folder).filter((name) => name.includes('unfinished'));

/** Kills a command as soon as a file shows that it has begun to write. @returns what it left, empty when it was always too quick */
async function killedHalfway(stand: Stand, args: readonly string[]): Promise<readonly string[]> {
  for (let tries = 0; tries < TRIES; tries += 1) {
    const child = stand.start(args);
    const watcher = watch(stand.folder, (_, name) => {
      if (name?.includes('unfinished')) child.kill('SIGKILL');
    });
    await once(child, 'close');
    watcher.close();
    if (leftovers(stand).length > 0) break;
  }
  return leftovers(stand);
}

const TRIES = 10;

/** Files and disks that are not as a command needs them. */
export const FILE_ATTEMPTS: readonly Attempt[] = [
  {
    name: 'read-only-media',
    words: 'a database lies on a disk that cannot be written, part of its last run in its log',
    disk: true,
    try: async (stand) => {
      await recorded(stand);
      // Who has it open keeps the log from being emptied into the file.
      const holder = new Database(stand.at('ohmest.db'));
      holder.pragma('user_version');
      await recorded(stand);
      for (const end of ['', '-wal']) stand.copy(`ohmest.db${end}`, `copy.db${end}`);
      holder.close();
      execFileSync('mount', ['-o', 'remount,ro', stand.folder]);
      const before = readdirSync(stand.folder);
      const met = await stand.ohmest(['runs', '--db', 'copy.db']);
      const shown = await stand.ohmest(['show', '2', '--db', 'copy.db']);
      const written = await stand.ohmest([...RUN, '--db', 'copy.db']);
      return {
        met: written,
        misses: [
          ...unlessSaid(met, 0, /2 .*Short/),
          ...unlessSaid(shown, 0, /Run 2: U/),
          ...unlessSaid(written, 2, /cannot be written/),
          readdirSync(stand.folder).join() !== before.join() && 'it left something behind',
        ],
      };
    },
  },
  {
    name: 'page-on-full-disk',
    words: 'a report is written over an earlier one, a table over an earlier one, and the disk is full',
    disk: true,
    try: async (stand) => {
      await recorded(stand);
      const page = ['report', '1', '-o', 'page.html'];
      const csv = ['export', '1', '--format', 'csv', '-o', 'table.csv'];
      for (const args of [page, csv]) await stand.ohmest(args);
      const sums = () => ['page.html', 'table.csv'].map((name) => readFileSync(stand.at(name), 'utf8'));
      const [earlierPage, earlierTable] = sums();
      fill(stand.folder);
      const met = await stand.ohmest(page);
      const table = await stand.ohmest(csv);
      const [laterPage, laterTable] = sums();
      return {
        met,
        misses: [
          ...unlessSaid(met, 2, /page\.html.*(no space|full)/i),
          ...unlessSaid(table, 2, /table\.csv.*(no space|full)/i),
          laterPage !== earlierPage && 'the earlier page was cut off',
          laterTable !== earlierTable && 'the earlier table was cut off',
          leftovers(stand).length > 0 && 'it left half a file behind',
        ],
      };
    },
  },
  {
    name: 'report-not-written',
    words: 'a run is to write its report where it cannot, which shows only at its end',
    try: async (stand) => {
      stand.put({ 'short.yaml': SHORT });
      // The folder goes once the run has begun.
      const met = await stand.ohmest([...RUN, '--report', 'gone/page.html'], {
        under: 'mkdir gone; (while ! test -s ohmest.db.log; do sleep 0.02; done; rmdir gone) & true',
      });
      const shown = await stand.ohmest(['show', '1']);
      const unwritten = /no report was written: gone\/page\.html: .*? The run is kept/;
      const misses = [...unlessSaid(met, 1, unwritten), ...unlessSaid(shown, 0, /Run 1: U/)];
      return { met: telling(met, unwritten), misses };
    },
  },
  {
    name: 'bundle-killed',
    words: 'a bundle is killed while it is written, and made once more',
    try: async (stand) => {
      await recorded(stand, '--captures');
      const args = ['bundle', '1', '-o', 'run.ohmest', '--captures'];
      const half = await killedHalfway(stand, args);
      const met = await stand.ohmest(args);
      return {
        met,
        misses: [
          half.length === 0 && 'it was not killed, so nothing is shown',
          ...unlessSaid(met, 0, /packed into run\.ohmest/),
          leftovers(stand).length > 0 && 'the half of the killed one is still there',
        ],
      };
    },
  },
  {
    name: 'pipe-as-bench',
    words: 'a pipe without end lies among the files in which resume looks for the bench',
    try: async (stand) => {
      stand.put({ 'short.yaml': SHORT, 'bench.yaml': programBench('no'), 'device.mjs': device(2) });
      await stand.ohmest(['run', 'short.yaml', '--bench', 'bench.yaml', '--unit', 'U']);
      rmSync(stand.at('bench.yaml'));
      execFileSync('mkfifo', [stand.at('a.yaml')]);
      const met = await stand.ohmest(['resume', '1']);
      return { met, misses: unlessSaid(met, 2, /no file here is|bench/) };
    },
  },
  {
    name: 'pipe-as-log',
    words: 'a pipe without end lies in the place of the log',
    try: async (stand) => {
      stand.put({ 'short.yaml': SHORT });
      execFileSync('mkfifo', [stand.at('ohmest.db.log')]);
      const met = await stand.ohmest(RUN);
      const log = /the log \S+ cannot be written: a folder, a pipe or a device stands there/;
      return { met: telling(met, log), misses: unlessSaid(met, 0, log) };
    },
  },
  {
    name: 'version-zero',
    words: 'the version of a database was set to 0',
    try: async (stand) => {
      await recorded(stand);
      changed(stand, 'PRAGMA user_version = 0');
      return allSay(stand, /ohmest\.db/);
    },
  },
  {
    name: 'unknown-unit',
    words: 'a budget in a database has a unit that nobody knows',
    try: async (stand) => {
      await recorded(stand);
      changed(stand, `UPDATE findings SET detail = replace(detail, '"unit":"W"', '"unit":"furlong"')`);
      const met = await stand.ohmest(['show', '1']);
      const unknown =
        /Figures that this version does not know A later version of ohmest made these figures[^.]*\./;
      return { met: telling(met, unknown), misses: unlessSaid(met, 0, unknown) };
    },
  },
  {
    name: 'few-files',
    words: 'no more than 30 files may be open at once',
    try: async (stand) => {
      stand.put({ 'short.yaml': SHORT });
      const met = await stand.ohmest(RUN, { under: 'ulimit -n 30' });
      const runs = existsSync(stand.at('ohmest.db')) ? await stand.ohmest(['runs']) : null;
      return {
        met,
        misses: [
          ...(met.status === 0 ? [] : unlessSaid(met, 1, /too many files are open.*ulimit -n/)),
          runs !== null && runs.status !== 0 && `its database cannot be read: ${runs.stderr.slice(-300)}`,
        ],
      };
    },
  },
];
