import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
import { withoutAid } from '../document/without-aid.js';
import { emptyFolder, ohmest, put } from './ohmest.js';

/** A climb of the reference clipper, which gives 100 W into 8 ohm before it clips and 104.75 W at 1 %. */
const CLIMB = `name: Climb
load: 8 ohm
steps:
  - climb: {id: up, frequency: 1 kHz, from: 50 W, to: claim, marks: [1 %]}
`;
const HELD = '95 W, 8 ohm, 1 % THD+N, 1 kHz, 1 channel';

describe('a claim', () => {
  const cwd = emptyFolder();
  const here = (...args: string[]) => ohmest(args, { cwd });
  const judged = async (claim: string) =>
    JSON.parse((await here('show', '1', '--claim', claim, '--json')).stdout).verdicts[0];

  beforeAll(async () => {
    put(cwd, {
      'climb.yaml': CLIMB,
      'claims.yaml': 'claims:\n  - 120 W, 8 ohm, 1 % THD+N, 1 kHz, 1 channel\n  - 60 W, 16 ohm\n',
    });
    const run = ['run', 'climb.yaml', '--bench', 'ideal-40', '--unit', 'Box', '--claim', 'claims.yaml'];
    const { status, stdout } = await here(...run, '--json', '--report', 'page.html');
    expect(status).toBe(0);
    expect(JSON.parse(stdout)).toMatchObject({
      claim: '120 W, 8 ohm, 1 % THD+N, 1 kHz, 1 channel driven\n60 W, 16 ohm',
      verdicts: [{ verdict: 'not met', required_W: 120, stored: true }, { stored: true }],
    });
  });

  it.each([
    [HELD, 'met'],
    ['110 W, 8 ohm, 1 % THD+N, 1 kHz, 1 channel', 'not met'],
    ['104.75 W, 8 ohm, 1 % THD+N, 1 kHz, 1 channel', 'inconclusive'],
    ['95 W, 8 ohm, 1 % THD+N, 20 Hz to 20 kHz, 1 channel', 'not tested'],
  ])('%s is %s by a run that was made for another', async (claim, expected) => {
    const { verdict, stored, deciding, margin_W, margin_dB } = await judged(claim);
    expect([verdict, stored]).toEqual([expected, false]);
    // 1 % THD+N of a hard clipper at 40 V: 104.7506 W into 8 ohm.
    expect(deciding.power_W).toBeCloseTo(104.75, 1);
    expect(margin_dB).toBeCloseTo(10 * Math.log10(deciding.power_W / (deciding.power_W - margin_W)), 9);
  });

  it.each([
    [HELD, [], 0],
    [HELD, ['--fail-on', 'not-met'], 1],
    ['110 W, 8 ohm, 1 % THD+N, 1 kHz, 1 channel', ['--fail-on', 'not-met'], 1],
  ])(
    '%s with %j ends with status %d: the run keeps a claim that is not met',
    async (claim, option, status) => {
      expect((await here('show', '1', '--claim', claim, ...option)).status).toBe(status);
    },
  );

  it('that is judged by show is not stored', async () => {
    expect((await judged(HELD)).verdict).toBe('met');
    const { verdicts } = JSON.parse((await here('show', '1', '--json')).stdout);
    expect(verdicts.map(({ claim }: { claim: string }) => claim)).toEqual([
      '120 W, 8 ohm, 1 % THD+N, 1 kHz, 1 channel driven',
      '60 W, 16 ohm',
    ]);
  });

  it('stands before all figures of show and of the report', async () => {
    const { stdout } = await here('show', '1', '--claim', HELD);
    expect(stdout.split('\n')[1]).toMatch(
      /^Claim of 95 W, 8 ohm, 1 % THD\+N, 1 kHz, 1 channel driven: met\. Measured 104\.[78]\d* W$/,
    );
    for (const line of stdout.split('\n')) expect(line.length).toBeLessThanOrEqual(80);
    const page = readFileSync(join(cwd, 'page.html'), 'utf8');
    // The sentence at the top says it, before charts and tables.
    expect(/class="lead">[^<]*/.exec(page)![0]).toMatch(/^class="lead">Claim of 120\s.*: not met\. /s);
    expect(page.indexOf(': not met. ')).toBeLessThan(page.indexOf('<figure'));
    expect((await here('report', '1', '--claim', HELD, '-o', 'other.html')).status).toBe(0);
    expect(readFileSync(join(cwd, 'other.html'), 'utf8')).toMatch(/class="lead">Claim of 95\s[^<]*: met\. /);
  });

  it('for another load gives levels at the same voltage, and the plan says so', async () => {
    const { stdout } = await here(
      'plan',
      'climb.yaml',
      '--bench',
      'ideal-40',
      '--claim',
      '150 W, 6 ohm',
      '--json',
    );
    const { warnings, steps } = JSON.parse(stdout);
    // 150 W x 6 / 8.
    expect(steps[0].most_W).toBe(112.5);
    expect(warnings).toContainEqual(
      expect.stringContaining('at the same voltage, 112.5 W; the claim does not state it'),
    );
  });

  it('with hostile text in it is shown as text', async () => {
    const claim = `${HELD}, standard <script>alert(1)</script>`;
    expect((await here('report', '1', '--claim', claim, '-o', 'hostile.html')).status).toBe(0);
    const page = readFileSync(join(cwd, 'hostile.html'), 'utf8');
    expect(withoutAid(page)).not.toContain('<script');
    expect(page).toContain('&lt;script&gt;alert(1)&lt;/script&gt;');
  });

  it.each([
    ['run', 'climb.yaml', '--bench', 'ideal-40', '--unit', 'Box', '--claim', 'very loud'],
    ['show', '1', '--claim', 'very loud'],
    ['report', '1', '-o', 'none.html', '--claim', 'very loud'],
  ])('that is none ends %s with status 2', async (...args) => {
    const { status, stdout, stderr } = await here(...args);
    expect([status, stdout]).toEqual([2, '']);
    expect(stderr).toContain("--claim:1:1: unknown word 'very'");
  });
});
