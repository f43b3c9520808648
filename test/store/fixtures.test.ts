import { readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { gunzipSync } from 'node:zlib';
import Database from 'better-sqlite3';
import { beforeAll, describe, expect, it } from 'vitest';
import { readBundle } from '../../src/bundle/read-bundle.js';
import { findingsOf, unknownFindingsOf } from '../../src/record/findings-of.js';
import type { Result } from '../../src/record/old-results.js';
import { resultsInCodes } from '../../src/record/results-of-findings.js';
import { openRuns } from '../../src/store/sqlite/sqlite-runs.js';
import { scratchFile, scratchFolder } from './scratch.js';

/* Files that version 0.1 made (test/fixtures/v0.1/README.md): what a user of that version has on disk. */

const FOLDER = join(import.meta.dirname, '..', 'fixtures', 'v0.1');
const RUNS = [1, 2, 3, 4, 6, 7, 8, 9, 10, 11];
const BUNDLES = readdirSync(FOLDER).filter((name) => name.endsWith('.ohmest'));

/** What version 0.1 printed under `results`, by run. */
const PRINTED = JSON.parse(readFileSync(join(FOLDER, 'runs.json'), 'utf8')) as Record<
  string,
  { readonly outcome: string; readonly results: readonly Printed[] }
>;
type Printed = Result & { readonly bands_Hz: unknown };

let bytes: Buffer;
beforeAll(() => {
  bytes = gunzipSync(readFileSync(join(FOLDER, 'runs.db.gz')));
});

/** The database of version 0.1, in a place of its own. */
function database(): string {
  const file = join(scratchFolder(), 'runs.db');
  writeFileSync(file, bytes);
  return file;
}

const withoutBudgets = ({ budgets: _budgets, ...result }: Result): object => result;

/** The bands stand beside a result when it is printed, and are no part of it. */
const asPrinted = (run: number): object[] =>
  PRINTED[run]!.results.map(({ bands_Hz: _bands, ...result }) => withoutBudgets(result as Result));

describe('a database of version 0.1', () => {
  it('is read in place, every run of it, with the powers that it printed', () => {
    const file = database();
    const store = openRuns(file, { mode: 'read' });
    expect(
      store
        .runs()
        .map(({ run }) => run)
        .reverse(),
    ).toEqual(RUNS);
    for (const run of RUNS) {
      const record = store.run(run);
      expect(record.outcome).toBe(PRINTED[run]!.outcome);
      expect(resultsInCodes(record.findings).map(withoutBudgets)).toEqual(asPrinted(run));
      expect(unknownFindingsOf(record)).toEqual([]);
    }
    store.close();
    expect(readFileSync(file).equals(bytes)).toBe(true);
  });

  it('holds the same once it was brought up to date', () => {
    const file = database();
    const looking = openRuns(file, { mode: 'read' });
    const seen = RUNS.map((run) => looking.run(run));
    looking.close();
    openRuns(file, { mode: 'write' }).close();
    const store = openRuns(file, { mode: 'read' });
    expect(RUNS.map((run) => store.run(run))).toEqual(seen);
    store.close();
    const db = new Database(file, { readonly: true });
    expect(db.prepare("SELECT count(*) FROM sqlite_schema WHERE name = 'results'").pluck().get()).toBe(0);
    expect(db.prepare("SELECT count(*) FROM points WHERE stepKind = 'ceiling'").pluck().get()).toBe(0);
    db.close();
  });

  it('tells by fields what it told in sentences', () => {
    const store = openRuns(database(), { mode: 'read' });
    const resumed = store.run(6).events;
    expect(resumed.filter(({ kind }) => kind === 'ended')).toMatchObject([
      { outcome: 'interrupted', reason: 'interrupted by the operator, output ramped down' },
      { outcome: 'completed', reason: 'every step of the sequence was walked' },
    ]);
    expect(resumed.filter(({ kind }) => kind === 'step-entered')).toMatchObject([
      { step: 'precondition', step_kind: 'warm-up', entry: 'first' },
      { step: 'precondition', step_kind: 'warm-up', entry: 'again' },
      { step_kind: 'hold', entry: 'first' },
    ]);
    expect(resumed.find(({ kind }) => kind === 'twin')).toMatchObject({
      sha256: expect.stringMatching(/^7622faa91f30c9ee[0-9a-f]{48}$/),
    });
    expect(resumed.filter(({ kind }) => kind === 'answered')).toMatchObject([
      { at_s: 0, subjects: ['connection'], answer: 'not-needed', text: expect.stringMatching(/Done\?$/) },
      { subjects: ['connection'], answer: 'not-needed' },
    ]);
    store.close();
  });

  it('lets its interrupted run be resumed', () => {
    const file = database();
    const store = openRuns(file, { mode: 'write' });
    const before = store.run(7);
    const writer = store.resumeRun(7, { at_s: 150, first_point: 4, checklist: [] });
    writer.append({ kind: 'point', point: { ...before.points[0]!, number: 4 }, readings: [] });
    writer.finish({ outcome: 'completed', reason: 'all of it' });
    const after = store.run(7);
    expect(after).toMatchObject({ outcome: 'completed', sessions: [{ number: 2, first_point: 4 }] });
    expect(after.points.slice(0, 3)).toEqual(before.points);
    expect(after.events).toEqual(before.events);
    store.close();
  });
});

describe('a bundle of version 0.1', () => {
  it.each(BUNDLES)('%s is taken in with the figures that it was packed with, once', async (name) => {
    const bundle = await readBundle(join(FOLDER, name));
    const { run } = bundle.content.record;
    expect(resultsInCodes(bundle.content.record.findings).map(withoutBudgets)).toEqual(asPrinted(run));
    const store = openRuns(scratchFile(), { mode: 'create' });
    const taken = store.run(await store.importRun(bundle));
    expect(findingsOf(taken)).toEqual(findingsOf(bundle.content.record));
    await expect(store.importRun(bundle)).rejects.toMatchObject({ code: 'RUN_PRESENT' });
    store.close();
    bundle.close();
  });

  it('is the run of the database that it was packed from', async () => {
    const store = openRuns(database(), { mode: 'write' });
    for (const name of BUNDLES) {
      const bundle = await readBundle(join(FOLDER, name));
      await expect(store.importRun(bundle)).rejects.toMatchObject({ code: 'RUN_PRESENT' });
      bundle.close();
    }
    store.close();
  });
});
