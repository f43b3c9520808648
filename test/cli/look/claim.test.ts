import { describe, expect, it } from 'vitest';
import { emptyFolder, ohmest, put } from '../ohmest.js';

describe('ohmest claim', () => {
  it('restates a claim with its arithmetic', async () => {
    const { status, stdout } = await ohmest(['claim', '200 W, 6 ohm, 1 channel', '--as', '8 ohm']);
    expect(status).toBe(0);
    expect(stdout).toContain('1. Same voltage into 8 ohm: a lower bound');
    expect(stdout).toContain('34.64 V squared / 8 ohm = 150 W');
    expect(stdout).toContain('- no distortion stated');
  });

  it('gives one JSON document', async () => {
    const { stdout } = await ohmest(['claim', '200 W, 6 ohm', '--as', '8 ohm', '--json']);
    const { claims, comparisons } = JSON.parse(stdout);
    expect(claims).toHaveLength(1);
    expect(claims[0].restated[0]).toMatchObject({ kind: 'lower-bound', power_W: 150 });
    expect(claims[0].figures.voltage_V).toBeCloseTo(34.641016, 6);
    expect(comparisons).toEqual([]);
  });

  it('sets several side by side and says what can be compared', async () => {
    const { status, stdout } = await ohmest([
      'claim',
      '120 W, 6 ohm, 1 %, 1 kHz, 1 channel',
      '100 W, 8 ohm, 1 %, 1 kHz, 1 channel',
      '300 W music',
    ]);
    expect(status).toBe(0);
    // 10 log10 of 100 x 8 / (120 x 6) is 0.4576 dB.
    expect(stdout).toContain('A and B: B is +0.4576 dB, restated, an upper bound');
    expect(stdout).toContain('A and C: not comparable');
    for (const line of stdout.split('\n')) expect(line.length).toBeLessThanOrEqual(80);
  });

  it('reads a claim file', async () => {
    const cwd = emptyFolder();
    put(cwd, {
      'claim.yaml': 'unit: blue box\nclaims:\n  - 100 W, 8 ohm\n  - {power: 180 W, load: 4 ohm}\n',
    });
    const { status, stdout } = await ohmest(['claim', 'claim.yaml'], { cwd });
    expect(status).toBe(0);
    expect(stdout).toContain('A  blue box: 100 W, 8 ohm');
    expect(stdout).toContain('B  blue box: 180 W, 4 ohm');
  });

  it.each([
    [['100 W, 20 kHz to 20 Hz'], 'claim:1:8: the band runs down, from 20 kHz to 20 Hz'],
    [['100 W', 'loud'], "claim 2:1:1: unknown word 'loud'"],
    [['100 W', '--as', '50 W'], '--as:1:1: a power is what comes out'],
    [['none.yaml'], 'none.yaml: there is no such file'],
  ])('%j ends with status 2 and says why', async (args, said) => {
    const { status, stdout, stderr } = await ohmest(['claim', ...args]);
    expect([status, stdout]).toEqual([2, '']);
    expect(stderr).toContain(said);
  });
});
