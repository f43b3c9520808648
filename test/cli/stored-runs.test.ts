import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
import { emptyFolder, filesIn, ohmest, put } from './ohmest.js';
import { SHORT } from './stand.js';

describe('what is in the database', () => {
  const cwd = emptyFolder();
  const here = (...args: string[]) => ohmest(args, { cwd });

  beforeAll(async () => {
    put(cwd, { 'short.yaml': SHORT });
    for (const unit of ['Blue box', 'Red box'])
      expect((await here('run', 'short.yaml', '--bench', 'ideal-40', '--unit', unit)).status).toBe(0);
  });

  it('runs lists it, newest first', async () => {
    const { status, stdout } = await here('runs');
    expect(status).toBe(0);
    const [head, ...rows] = stdout.trim().split('\n');
    expect(head).toMatch(/^run .*unit .*outcome .*points/);
    expect(rows).toHaveLength(2);
    expect(rows[0]).toMatch(/^2 .*Red box .*completed +3$/);
  });

  it('runs --json gives it as one document, and --unit only the runs of one unit', async () => {
    const all = JSON.parse((await here('runs', '--json')).stdout).runs;
    expect(all.map(({ run }: { run: number }) => run)).toEqual([2, 1]);
    const blue = JSON.parse((await here('runs', '--unit', 'Blue box', '--json')).stdout).runs;
    expect(blue).toMatchObject([
      {
        run: 1,
        unit: 'Blue box',
        outcome: 'completed',
        sequence: 'Short',
        bench: 'Ideal clipper',
        points: 3,
      },
    ]);
    expect((await here('runs', '--unit', 'Green box')).stdout).toMatch(/no runs in ohmest\.db of Green box/);
  });

  it('show gives a summary, and with --json the document that run --json gave', async () => {
    const text = await here('show', '1');
    expect(text.status).toBe(0);
    expect(text.stdout).toMatch(/^Run 1: Blue box\n/);
    const document = JSON.parse((await here('show', '1', '--json')).stdout);
    const fields = ['run', 'outcome', 'reason', 'results', 'readings', 'verdicts'];
    for (const field of fields) expect(document).toHaveProperty(field);
    expect(document.readings).toHaveLength(3);
    expect(document.results[0]).toMatchObject({ kind: 'band', channel: 1, driven: [1], load_ohm: 8 });
  });

  it('show --budget gives what the uncertainty of each result is made of, within the terminal', async () => {
    const { status, stdout } = await here('show', '1', '--budget');
    expect(status).toBe(0);
    expect(stdout).toContain('Lowest power, 1 kHz, channel 1, 500 Hz to 2 kHz, 8 ohm, channel 1 driven');
    expect(stdout).toMatch(/^Power 1\.00 W: U is below 0\.0001 %$/m);
    expect(stdout).toMatch(/^THD\+N .*: no uncertainty, since these are not stated:/m);
    expect(stdout).toMatch(/^Combined standard uncertainty$/m);
    for (const line of stdout.split('\n')) expect(line.length).toBeLessThanOrEqual(80);
  });

  it('report puts several runs into one page that needs no network', async () => {
    const { status, stdout } = await here('report', '1', '2', '-o', 'both.html');
    expect([status, stdout]).toEqual([0, '']);
    const page = readFileSync(join(cwd, 'both.html'), 'utf8');
    expect(page).toContain('Blue box');
    expect(page).toContain('Red box');
    expect(page).not.toMatch(/(src|href)="https?:/);
  });

  it('export writes CSV to stdout or to a file, a row for each reading', async () => {
    const { status, stdout } = await here('export', '1', '--format', 'csv');
    expect(status).toBe(0);
    const [head, ...rows] = stdout.trim().split('\r\n');
    expect(head).toMatch(/^run,unit,.*power_W.*thdn_percent/);
    expect(rows).toHaveLength(3);
    const named = await here('export', '1', '--format', 'csv', '-o', 'run-1.csv');
    expect([named.status, named.stdout]).toEqual([0, '']);
    expect(readFileSync(join(cwd, 'run-1.csv'), 'utf8').trim()).toBe(stdout.trim());
  });

  it('export writes the same JSON as show --json, to stdout or to a file', async () => {
    const shown = JSON.parse((await here('show', '2', '--json')).stdout);
    expect(JSON.parse((await here('export', '2', '--format', 'json')).stdout)).toEqual(shown);
    expect((await here('export', '2', '--format', 'json', '-o', 'run-2.json')).status).toBe(0);
    expect(JSON.parse(readFileSync(join(cwd, 'run-2.json'), 'utf8'))).toEqual(shown);
  });

  it.each([
    [['show', '7'], /there is no run 7/],
    [['show', 'first'], /'first' is not the number of a run/],
    [['show', '0'], /'0' is not the number of a run/],
    [['show', '1', '--db', 'none.db'], /none\.db: there is no database here/],
    [['runs', '--db', 'short.yaml'], /short\.yaml/],
    [['export', '1', '--format', 'xml'], /'xml' is not an export format/],
    [['export', '7', '--format', 'csv', '-o', 'run-7.csv'], /there is no run 7/],
    [
      ['export', '1', '--format', 'csv', '-o', 'none/run-1.csv'],
      /the folder it should go into does not exist/,
    ],
    [['report', '1', '7', '-o', 'some.html'], /there is no run 7/],
    [['report', '1'], /--output/],
  ])('%j is refused with status 2, and writes nothing', async (args, said) => {
    const before = filesIn(cwd);
    const { status, stdout, stderr } = await here(...args);
    expect([status, stdout]).toEqual([2, '']);
    expect(stderr).toMatch(said);
    expect(filesIn(cwd)).toEqual(before);
  });
});
