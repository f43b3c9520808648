import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { claimedPowers, claimGiven } from '../../../src/cli/run/given-claims.js';
import { emptyFolder } from '../ohmest.js';

describe('claimGiven', () => {
  it('keeps a text as it was typed, on one line', () => {
    expect(claimGiven(' 100 W,  8 ohm\n')).toBe('100 W, 8 ohm');
  });

  it('keeps the claims of a file as one line each', () => {
    const file = join(emptyFolder(), 'claims.yaml');
    writeFileSync(file, 'claims:\n  - 100 W, 8 ohm, 1 %\n  - {power: 180 W, load: 4 ohm, driven: 1}\n');
    expect(claimGiven(file)).toBe('100 W, 8 ohm, 1 %\n180 W, 4 ohm, 1 channel driven');
  });

  it.each([
    ['100', '--claim:1:1: '],
    ['100 V', '--claim:1:1: '],
    ['0 W', '--claim:1:1: no amplifier has a power of 0 W'],
    ['200 kW', '--claim:1:1: no amplifier has a power of 200 kW'],
    ['none.yaml', 'none.yaml: there is no such file'],
  ])('refuses %j with the reason', (text, message) => {
    expect(() => claimGiven(text)).toThrow(message);
  });
});

describe('claimedPowers', () => {
  it.each([
    ['100 W', [{ power_W: 100, load_ohm: null, note: '' }]],
    [
      '0.5 kW, 8 ohm\n900 W, 4 ohm',
      [
        { power_W: 500, load_ohm: 8, note: '' },
        { power_W: 900, load_ohm: 4 },
      ],
    ],
    ['', []],
  ])('of %j', (text, powers) => {
    expect(claimedPowers(text)).toMatchObject(powers);
  });

  it('shares a sum among its channels, and says what that assumes', () => {
    expect(claimedPowers('700 W total, 8 ohm, 7 channels')).toMatchObject([
      { power_W: 100, load_ohm: 8, note: expect.stringContaining('all channels give the same') },
    ]);
  });

  it('has no power of a sum whose channels are not said', () => {
    expect(claimedPowers('700 W total')).toMatchObject([
      { power_W: null, note: 'the claim does not say how many channels share the power' },
    ]);
  });
});
