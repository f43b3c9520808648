import { describe, expect, it } from 'vitest';
import { emptyFolder, filesIn, ohmest, put } from '../ohmest.js';
import { benchWithTwin, SHORT } from '../stand.js';

describe('plan', () => {
  it('says in words what would happen, and plays and writes nothing', async () => {
    const cwd = emptyFolder();
    const { status, stdout, stderr } = await ohmest(['plan', 'quick-look', '--bench', 'stiff-pair'], { cwd });
    expect([status, stderr]).toEqual([0, '']);
    expect(stdout).toMatch(/^Quick look on Stiff pair\n/);
    expect(stdout).toMatch(/climb at 1 kHz from 1\.00 W, mark 0\.1 % and +8 ohm/);
    expect(stdout).toMatch(/^ +1 %$/m);
    expect(stdout).toMatch(/at 1\/8 +8 ohm.*\n +of the 0\.1 % power of climb-1k/);
    expect(stdout).toMatch(/about \d+ points in /);
    expect(stdout).toMatch(/worst case per channel: [\d.]+ V rms, [\d.]+ V peak, [\d.]+ A peak, [\d.]+ W/);
    expect(stdout).toContain('hazardous to touch');
    expect(stdout).toContain('protective earth');
    expect(stdout).not.toContain('\u001b');
    expect(filesIn(cwd)).toEqual([]);
  });

  it('--json gives points, time, worst case, hazards and checklist in one document', async () => {
    const { status, stdout } = await ohmest(['plan', 'rated-power', '--bench', 'ideal-40', '--json']);
    expect(status).toBe(0);
    const plan = JSON.parse(stdout);
    expect(plan).toMatchObject({ sequence: 'Rated power', bench: 'Ideal clipper' });
    expect(plan.sequence_sha256).toMatch(/^[0-9a-f]{64}$/);
    expect(plan.points).toBeGreaterThan(31);
    expect(plan.duration_s).toBeGreaterThan(30);
    // 40 V peak is what the twin gives; the plan must assume what the load's rating allows: sqrt(250 W x 8 ohm).
    expect(plan.worst_case.voltage_Vrms).toBeGreaterThan(40);
    expect(plan.worst_case.voltage_Vrms).toBeLessThanOrEqual(Math.sqrt(250 * 8));
    expect(plan.worst_case.power_W).toBeLessThanOrEqual(250);
    expect(plan.hazards.length).toBeGreaterThan(0);
    expect(plan.checklist.length).toBeGreaterThan(5);
    expect(plan.steps.map((step: { kind: string }) => step.kind)).toEqual([
      'climb',
      'rest',
      'sweep',
      'max-power',
    ]);
  });

  it('names the file that is there when only its ending was left out', async () => {
    const cwd = emptyFolder();
    put(cwd, { 'mine.yaml': SHORT });
    const { status, stderr } = await ohmest(['plan', 'mine', '--bench', 'ideal-40'], { cwd });
    expect(status).toBe(2);
    expect(stderr).toContain('mine: there is no such file, and no sequence of this name ships');
    expect(stderr).toContain('There is a file mine.yaml: name it in full');
  });

  it('under --json prints a refusal as one document too', async () => {
    const { status, stdout } = await ohmest(['plan', 'no-such', '--bench', 'ideal-40', '--json']);
    expect(status).toBe(2);
    expect(JSON.parse(stdout)).toEqual({
      error: {
        code: 'FILE_UNREADABLE',
        what: 'there is no such file, and no sequence of this name ships',
        where: 'no-such',
        fix: expect.stringMatching(/or one of these: .*\bquick-look\b/),
      },
    });
  });

  it.each([
    ['quick-look', 'stiff-pair'],
    ['full-band', 'switching-treble'],
    ['all-driven', 'seven-shared'],
    ['repair-check', 'repaired-crossover'],
  ])('prints %s on %s within 80 columns', async (sequence, bench) => {
    const { status, stdout } = await ohmest(['plan', sequence, '--bench', bench], { env: { COLUMNS: '80' } });
    expect(status).toBe(0);
    for (const line of stdout.split('\n')) expect(line.length, line).toBeLessThanOrEqual(80);
  });

  it('says how warm each load gets, those alike together', async () => {
    const { stdout } = await ohmest(['plan', 'quick-look', '--bench', 'stiff-pair']);
    expect(stdout).toMatch(/^channel +load +maximum +mean +temperature rise +total heat$/m);
    expect(stdout).toMatch(/^channels 1 and 2 +8 ohm +[\d.]+ W +[\d.]+ W +[\d.]+ K +[\d.]+ Wh$/m);
    const { loads, energy_J } = JSON.parse(
      (await ohmest(['plan', 'quick-look', '--bench', 'stiff-pair', '--json'])).stdout,
    );
    expect(loads.map(({ channel }: { channel: number }) => channel)).toEqual([1, 2]);
    const sum = loads.reduce((total: number, { heat_J }: { heat_J: number }) => total + heat_J, 0);
    expect(energy_J).toBeCloseTo(sum, 6);
  });

  it("says what is wrong with a simulated bench's twin together with what is wrong with the sequence", async () => {
    const cwd = emptyFolder();
    put(cwd, {
      'bench.yaml': benchWithTwin('unit'),
      'unit.yaml': 'twin: Unit\ngain: 26\nsupply: {regulated: 40 V}\n',
      's.yaml': SHORT.replace('1 kHz', '1 kV'),
    });
    const { status, stdout, stderr } = await ohmest(['plan', 's.yaml', '--bench', 'bench.yaml'], { cwd });
    expect([status, stdout]).toEqual([2, '']);
    expect(stderr).toMatch(/unit\.yaml:2:7: gain: expected a number of decibels/);
    expect(stderr).toMatch(/s\.yaml:4:\d+: .*'1 kV'/);
  });

  it('says that a twin is not there, before anything is asked', async () => {
    const cwd = emptyFolder();
    put(cwd, { 'bench.yaml': benchWithTwin('nowhere'), 's.yaml': SHORT });
    const { status, stderr } = await ohmest(['plan', 's.yaml', '--bench', 'bench.yaml'], { cwd });
    expect(status).toBe(2);
    expect(stderr).toContain('nowhere');
  });
});
