/*
 * The whole climb, from the bench file and sequence that ship to its two powers, against the closed form of a sine
 * of peak k limited at +-1: 100 W at the onset (40 V peak into 8 ohm), P/P0 = 1.008578 at 0.1 % and 1.047700 at
 * 1 % with harmonics 2..20 in the band, ratio 1.038789 (Fourier series of the clipped sine).
 */
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { beforeAll, describe, expect, it } from 'vitest';
import { readBench } from '../../src/bench/bench-file.js';
import { openSimulated } from '../../src/bench/simulated/open-simulated.js';
import { type Found, foundIn } from '../runner/found.js';
import { type Played, play } from '../runner/run.js';

const shipped = (path: string) => fileURLToPath(new URL(`../../${path}`, import.meta.url));
const dB = (ratio: number) => 10 * Math.log10(ratio);

/** The sequence that ships, up to the end of its climb. */
function climbOfRatedPower(): string {
  const text = readFileSync(shipped('sequences/rated-power.yaml'), 'utf8');
  const end = text.indexOf('  - rest:');
  expect(end).toBeGreaterThan(text.indexOf('- climb:'));
  return text.slice(0, end);
}

describe('the climb of rated-power on the ideal 40 V clipper', () => {
  let played: Played;
  let powers: Found[];

  beforeAll(async () => {
    const path = shipped('benches/ideal-40.yaml');
    const setup = readBench(readFileSync(path, 'utf8'), path);
    played = await play(climbOfRatedPower(), setup, openSimulated(setup));
    powers = foundIn(played, 'max-power');
  });

  it('completes in at most 40 points', () => {
    expect(played.ending.outcome).toBe('completed');
    expect(played.of('point').length).toBeLessThanOrEqual(40);
  });

  it.each([
    [0.1, 100.8578],
    [1, 104.77],
  ])('reads the power at %d %% THD+N as %d W within 0.02 dB', (percent, expected_W) => {
    const found = powers.find((power) => power.threshold_percent === percent)!;
    expect(Math.abs(dB(found.value! / expected_W))).toBeLessThan(0.02);
    expect(found.terms.bracket_dB).toBeLessThanOrEqual(0.05);
  });

  it('reads the ratio of the two as 1.0388 within 0.02 dB', () => {
    const [low, high] = powers;
    expect(Math.abs(dB(high!.value! / low!.value! / 1.0388))).toBeLessThan(0.02);
  });
});
