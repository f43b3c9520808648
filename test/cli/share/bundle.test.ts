import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { beforeAll, describe, expect, it } from 'vitest';
import { reseal } from '../../store/reseal.js';
import { emptyFolder, filesIn, ohmest, put } from '../ohmest.js';
import { SHORT } from '../stand.js';

describe('a run that is shared', { timeout: 60_000 }, () => {
  const cwd = emptyFolder();
  const here = (...args: string[]) => ohmest(args, { cwd });
  const UNIT = `Blue <b>box</b> '); DROP TABLE runs; --`;

  beforeAll(async () => {
    put(cwd, { 'short.yaml': SHORT });
    const ran = await here(
      ...['run', 'short.yaml', '--bench', 'ideal-40', '--unit', UNIT, '--claim', '40 W, 8 ohm', '--captures'],
    );
    expect(ran.status).toBe(0);
    for (const args of [
      ['-o', 'plain.ohmest'],
      ['-o', 'full.ohmest', '--captures'],
    ])
      expect((await here('bundle', '1', ...args)).status).toBe(0);
  }, 60_000);

  it('is one file, which says what is in it', async () => {
    const { status, stdout } = await here('bundle', '1', '-o', 'again.ohmest');
    expect(status).toBe(0);
    expect(stdout).toMatch(/^run 1 packed into again\.ohmest, [\d.]+ MB, without the captures of 3 points/);
    const full = await here('bundle', '1', '-o', 'more.ohmest', '--captures', '--json');
    expect(JSON.parse(full.stdout)).toMatchObject({
      run: 1,
      captures: 3,
      captures_kept: 3,
      file: 'more.ohmest',
    });
    expect(filesIn(cwd).filter((name) => name.includes('unfinished'))).toEqual([]);
  });

  it('shows the same in another database, and where it came from', async () => {
    const other = emptyFolder();
    const there = (...args: string[]) => ohmest(args, { cwd: other });
    const brought = await there('import', join(cwd, 'full.ohmest'));
    expect([brought.status, brought.stderr]).toEqual([0, '']);
    expect(brought.stdout).toContain(`run 1 in ohmest.db: run 1 of ${UNIT}`);
    expect(brought.stdout).toContain('with the captures of 3 points');
    const [was, is] = await Promise.all([here('show', '1', '--json'), there('show', '1', '--json')]);
    const { origin, ...document } = JSON.parse(is.stdout);
    expect(origin).toMatchObject({ run: 1, identity: expect.stringMatching(/^[0-9a-f]{64}$/) });
    const anonymous = (one: { readings: object[] }) => ({
      ...one,
      readings: one.readings.map((reading) => ({ ...reading, capture: null })),
    });
    expect(anonymous(document)).toEqual(anonymous(JSON.parse(was.stdout)));
    expect((await there('show', '1')).stdout).toMatch(
      /imported on .*run 1 in the database that it was\s+made\s+into/,
    );
    expect((await there('runs')).stdout).toMatch(/was run 1$/m);
    expect((await here('runs')).stdout).not.toContain('imported');
    await there('report', '1', '-o', 'report.html');
    expect(readFileSync(join(other, 'report.html'), 'utf8')).toMatch(/Imported.*imported on/s);
    expect((await there('show', '1', '--remeasure')).stdout).toContain('3 of 3 readings are what they were');
  });

  it('is refused where it is already, by its content and not by its number', async () => {
    const { status, stderr, stdout } = await here('import', 'plain.ohmest');
    expect([status, stdout]).toEqual([2, '']);
    expect(stderr).toMatch(/this run is here already: it is run 1/);
    const asked = await here('import', 'plain.ohmest', '--json');
    expect(JSON.parse(asked.stdout)).toMatchObject({ error: { code: 'RUN_PRESENT' } });
  });

  it.each([
    ['a missing run', ['bundle', '7', '-o', 'x.ohmest'], /there is no run 7/],
    ['no number', ['bundle', 'seven', '-o', 'x.ohmest'], /not the number of a run/],
    [
      'a place that is none',
      ['bundle', '1', '-o', 'nowhere/x.ohmest'],
      /folder it should go into does not exist/,
    ],
    ['a device to write', ['bundle', '1', '-o', '/dev/null'], /device or a pipe/],
    ['a folder to write', ['bundle', '1', '-o', '.'], /this is a folder/],
    ['a missing file', ['import', 'nothing.ohmest'], /there is no such file/],
    ['a device', ['import', '/dev/zero'], /device or pipe/],
    ['a folder', ['import', '.'], /this is a folder/],
    ['an empty file', ['import', 'empty.ohmest'], /this file is empty/],
    ['another file', ['import', 'short.yaml'], /this is not a bundle/],
    ['half a file', ['import', 'half.ohmest'], /this is not a bundle, or not a complete one/],
  ])('%s is refused in one message, with nothing written', async (_what, args, says) => {
    const whole = readFileSync(join(cwd, 'plain.ohmest'));
    put(cwd, { 'empty.ohmest': '', 'half.ohmest': whole.subarray(0, whole.length / 2) });
    const before = filesIn(cwd);
    const { status, stdout, stderr } = await here(
      ...args,
      '--db',
      args[0] === 'import' ? 'new.db' : 'ohmest.db',
    );
    expect([status, stdout]).toEqual([2, '']);
    expect(stderr).toMatch(says);
    expect(stderr).not.toMatch(/ {4}at /);
    expect(filesIn(cwd)).toEqual(before);
  });

  it('leaves no database that was made for it when it is refused', async () => {
    const other = emptyFolder();
    put(other, { 'new.db.captures': 'a file in the place of a folder' });
    const args = ['import', join(cwd, 'full.ohmest'), '--db', 'new.db'];
    const { status, stderr } = await ohmest(args, { cwd: other });
    expect(status).toBe(2);
    expect(stderr).toMatch(/the folder for captures, .*new\.db\.captures, cannot be written/);
    expect(filesIn(other)).toEqual(['new.db.captures']);
  });

  it('is refused when it holds what could not be unpacked again', async () => {
    const copy = emptyFolder();
    put(copy, { 'ohmest.db': readFileSync(join(cwd, 'ohmest.db')) });
    const db = new Database(join(copy, 'ohmest.db'));
    db.exec("UPDATE runs SET started = 'some day'");
    reseal(db, 1);
    db.close();
    const { status, stderr } = await ohmest(['bundle', '1', '-o', 'x.ohmest'], { cwd: copy });
    expect(status).toBe(2);
    expect(stderr).toMatch(
      /run 1 holds something that no bundle carries: run\.json: started: no moment in UTC/,
    );
    expect(filesIn(copy)).toEqual(['ohmest.db']);
  });

  it('is refused with captures when one of them was changed on disk, and leaves no half file', async () => {
    const copy = emptyFolder();
    mkdirSync(join(copy, 'ohmest.db.captures'));
    for (const name of ['ohmest.db', ...readdir(cwd)])
      writeFileSync(join(copy, name), readFileSync(join(cwd, name)));
    const [first] = readdir(cwd);
    writeFileSync(join(copy, first!), 'other samples');
    const { status, stderr } = await ohmest(['bundle', '1', '-o', 'x.ohmest', '--captures'], { cwd: copy });
    expect(status).toBe(2);
    expect(stderr).toContain('the capture has changed since it was written');
    expect(filesIn(copy)).toEqual(['ohmest.db', 'ohmest.db.captures']);
  });
});

/** Captures beside a database, as paths from its folder. */
function readdir(folder: string): string[] {
  return filesIn(join(folder, 'ohmest.db.captures')).map((name) => join('ohmest.db.captures', name));
}
