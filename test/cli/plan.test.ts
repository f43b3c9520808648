import { describe, expect, it } from 'vitest';
import { emptyFolder, filesIn, ohmest } from './ohmest.js';

describe('plan', () => {
  it('says in words what would happen, and plays and writes nothing', async () => {
    const cwd = emptyFolder();
    const { status, stdout, stderr } = await ohmest(['plan', 'quick-look', '--bench', 'stiff-pair'], { cwd });
    expect([status, stderr]).toEqual([0, '']);
    expect(stdout).toMatch(/^Quick look on Stiff pair\n/);
    expect(stdout).toMatch(/climb at 1 kHz from 1\.00 W, mark 0\.1 % and 1 %/);
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
    expect(plan.steps.map((step: { kind: string }) => step.kind)).toEqual(['climb', 'rest', 'sweep']);
  });

  it('under --json prints a refusal as one document too', async () => {
    const { status, stdout } = await ohmest(['plan', 'no-such', '--bench', 'ideal-40', '--json']);
    expect(status).toBe(2);
    expect(JSON.parse(stdout)).toEqual({
      error: { code: 'FILE_UNREADABLE', what: 'there is no such file', where: 'no-such', mend: null },
    });
  });
});
