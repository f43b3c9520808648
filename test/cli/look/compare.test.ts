import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
import { withoutAid } from '../../document/without-aid.js';
import { emptyFolder, filesIn, ohmest, put } from '../ohmest.js';
import { SHORT } from '../stand.js';

const HOSTILE = '</title><script>alert(1)</script>';

describe('runs held against each other', () => {
  const cwd = emptyFolder();
  const here = (...args: string[]) => ohmest(args, { cwd });

  beforeAll(async () => {
    put(cwd, { 'short.yaml': SHORT, 'longer.yaml': SHORT.replace('500 Hz, ', '250 Hz, 500 Hz, ') });
    const runs = [
      ['short.yaml', 'Blue box'],
      ['short.yaml', HOSTILE],
      ['longer.yaml', 'Red box'],
    ] as const;
    for (const [sequence, unit] of runs)
      expect((await here('run', sequence, '--bench', 'ideal-40', '--unit', unit)).status).toBe(0);
  }, 60_000);

  it('compare says that the protocols agree, and tells nothing of equal units but that they are alike', async () => {
    const { status, stdout, stderr } = await here('compare', '1', '2');
    expect([status, stderr]).toEqual([0, '']);
    expect(stdout).toMatch(/^run 1 +Blue box/m);
    expect(stdout.replace(/\s/g, '')).toContain(HOSTILE.slice(0, 15));
    expect(stdout).toContain('The protocols agree');
    expect(stdout).toMatch(/^Lowest .* equal$/m);
    expect(stdout).not.toContain('higher\n');
    for (const line of stdout.split('\n')) expect(line.length).toBeLessThanOrEqual(80);
  });

  it('compare says exactly in what the protocols differ', async () => {
    const { stdout } = await here('compare', '1', '3');
    expect(stdout).toContain('Where the protocols differ');
    expect(stdout).toMatch(
      /^Sequence\n {2}Run 1: Short \(sha256 .*\n {2}Run 3: Short \(sha256 .*\n {2}How it matters: temperature/m,
    );
    expect(stdout).toMatch(/^Frequencies\n {2}Run 1: sweep at 3 from .*\n {2}Run 3: sweep at 4 from /m);
  });

  it('compare --json is one document with runs, agreement and differences', async () => {
    const { status, stdout } = await here('compare', '2', '1', '3', '--json');
    expect(status).toBe(0);
    const document = JSON.parse(stdout);
    expect(document.runs.map(({ run }: { run: number }) => run)).toEqual([2, 1, 3]);
    expect(document.agreement.map(({ state }: { state: string }) => state)).toContain('differ');
    const [power] = document.differences;
    expect(power).toMatchObject({ quantity: 'power', statistic: 'minimum', channel: 1, load_ohm: 8 });
    expect(power.differences[0]).toMatchObject({ run: 1, to: 2, difference_W: 0, difference_dB: 0 });
  });

  it('compare and report judge every run by a claim that is brought along', async () => {
    const { stdout } = await here('compare', '1', '2', '--claim', '0.5 W, 8 ohm, 1 % THD+N, 1 kHz');
    expect(stdout).toMatch(/^run 1 +500 mW/m);
    expect(stdout).toMatch(/^run 2 +500 mW/m);
  });

  it('report lays several runs over each other in one page that needs no network', async () => {
    const { status, stdout } = await here('report', '1', '2', '3', '-o', 'three.html');
    expect([status, stdout]).toEqual([0, '']);
    const page = readFileSync(join(cwd, 'three.html'), 'utf8');
    expect(page).toContain('Where the protocols differ');
    expect(page).toContain('&lt;/title&gt;&lt;script&gt;alert(1)&lt;/script&gt;');
    expect(withoutAid(page)).not.toMatch(/<script|(src|href)="https?:/);
  });

  it.each([
    [['compare', '1'], /needs two runs or more\. ohmest show 1 shows one by itself/],
    [['compare', '1', '2', '1'], /run 1 is named twice/],
    [['compare', '1', '7'], /there is no run 7/],
    [['compare', '1', 'second'], /'second' is not the number of a run/],
    [['compare', 'second'], /'second' is not the number of a run/],
    [['compare', '1', '2', '--claim', 'plenty'], /plenty/],
    [['compare'], /missing required argument/],
    [['report', '2', '2', '-o', 'twice.html'], /run 2 is named twice/],
    [['report', '1', '2', '--claim', 'plenty', '-o', 'none.html'], /plenty/],
  ])('%j is refused with status 2, and writes nothing', async (args, said) => {
    const before = filesIn(cwd);
    const { status, stdout, stderr } = await here(...args);
    expect([status, stdout]).toEqual([2, '']);
    expect(stderr).toMatch(said);
    expect(filesIn(cwd)).toEqual(before);
  });
});
