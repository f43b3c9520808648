import { copyFileSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { gunzipSync } from 'node:zlib';
import Database from 'better-sqlite3';
import { expect, it } from 'vitest';
import { readBundle } from '../../src/bundle/read-bundle.js';
import { writeBundle } from '../../src/bundle/write-bundle.js';
import { csvExport } from '../../src/document/csv/csv-export.js';
import { htmlReport } from '../../src/document/html/html-report.js';
import { showDocument } from '../../src/document/json/show-document.js';
import { runText } from '../../src/document/text/run-text.js';
import { judgeRun } from '../../src/judgement/judged-run.js';
import { unknownFindingsOf } from '../../src/record/findings-of.js';
import { openRuns } from '../../src/store/sqlite/sqlite-runs.js';
import { scratchFile, scratchFolder } from './scratch.js';

/* A database that a later version has written into: of the same schema, with names that this version does not know. */

const V01 = join(import.meta.dirname, '..', 'fixtures', 'v0.1', 'runs.db.gz');

function later(): string {
  const file = join(scratchFolder(), 'runs.db');
  writeFileSync(file, gunzipSync(readFileSync(V01)));
  openRuns(file, { mode: 'write' }).close();
  const db = new Database(file);
  db.exec(`
    UPDATE points SET stepKind = 'burst' WHERE run = 1;
    UPDATE findings SET step_kind = 'burst' WHERE run = 1;
    UPDATE readings SET flags = '["not-settled","fan-blew"]' WHERE run = 2 AND point = 1;
    UPDATE findings SET quantity = 'slew-rate', unit = 'V/us' WHERE run = 2 AND quantity = 'knee-power';
    UPDATE events SET kind = 'fan-heard', detail = '{"loud_dB":41}' WHERE run = 2 AND kind = 'ended';
  `);
  db.close();
  return file;
}

const SHAPE = { width: 100, colour: false, details: true };

it('a run of a kind of step that is not known is shown, and neither rated nor judged', () => {
  const store = openRuns(later(), { mode: 'read' });
  const record = store.run(1);
  store.close();
  expect(new Set(record.points.map(({ stepKind }) => stepKind))).toEqual(new Set(['burst']));
  const { ratings, claims } = judgeRun(record);
  expect(JSON.stringify(ratings)).not.toMatch(/"rated_W":\d/);
  for (const { verdict } of claims) expect(verdict.verdict).toBe('not tested');
  expect(csvExport(record)).toContain(',burst,');
  expect(JSON.stringify(showDocument(record))).toContain('"burst"');
  expect(htmlReport(record)).toContain('burst');
  expect(runText(record, SHAPE)).toContain('burst');
});

it('a flag, a quantity and an event that are not known are shown by their names', () => {
  const store = openRuns(later(), { mode: 'read' });
  const record = store.run(2);
  store.close();
  expect(record.readings[0]).toMatchObject({
    flags: ['not-settled', 'not-known'],
    unknown_flags: ['fan-blew'],
  });
  expect(unknownFindingsOf(record).map(({ quantity }) => quantity)).toEqual(['slew-rate', 'slew-rate']);
  expect(record.events.at(-1)).toMatchObject({
    kind: 'unknown',
    named: 'fan-heard',
    fields: { loud_dB: 41 },
  });
  expect(csvExport(record)).toContain('not-settled fan-blew');
  expect(htmlReport(record)).toContain('fan-heard');
});

it('such runs go from database to database as they are', async () => {
  const store = openRuns(later(), { mode: 'read' });
  const path = join(scratchFolder(), 'run.ohmest');
  for (const run of [1, 2]) {
    await writeBundle(path, store.content(run), '0.2.0', null);
    const bundle = await readBundle(path);
    const other = openRuns(scratchFile(), { mode: 'create' });
    const { origin: _origin, run: _number, ...taken } = other.run(await other.importRun(bundle));
    bundle.close();
    other.close();
    const { origin: _none, run: _own, ...own } = store.run(run);
    const bare = own.readings.map((reading) => ({ ...reading, capture: null }));
    expect(taken).toEqual({ ...own, readings: bare });
  }
  store.close();
});

it('a database of a later schema is not opened', () => {
  const file = later();
  const copy = join(scratchFolder(), 'copy.db');
  copyFileSync(file, copy);
  const db = new Database(copy);
  db.pragma('user_version = 99');
  db.close();
  expect(() => openRuns(copy, { mode: 'read' })).toThrow('99');
});
