/*
 * The knee that a climb of rated-power finds on the benches that ship. Of the ideal clipper it is known in closed form: a
 * sine of 40 V peak into 8 ohm, 100 W, below which there is no distortion at all. Of the others there is a trial on
 * recorded climbs (facts sheet "A knee that can be searched"), done with scipy's nnls on readings of wider brackets.
 */
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { foundIn } from '../runner/found.js';
import { play } from '../runner/run.js';
import { twinBench } from '../runner/twin-bench.js';

/** The climb of the sequence that ships, with one mark: the knee needs none. */
function climb(): string {
  const path = fileURLToPath(new URL('../../sequences/rated-power.yaml', import.meta.url));
  const text = readFileSync(path, 'utf8');
  return text.slice(0, text.indexOf('  - rest:'));
}

async function kneesOf(bench: string) {
  const { setup, bench: twin } = twinBench(bench);
  const played = await play(climb(), setup, twin);
  return foundIn(played, 'knee-power');
}

describe('the knee of a climb', () => {
  it('of the ideal 40 V clipper is its onset at 100 W', async () => {
    const [knee] = await kneesOf('ideal-40');
    expect(Math.abs(Number(knee!.value) - 100)).toBeLessThan(0.1);
    expect(knee!.uncertainty!).toBeLessThan(0.2);
    expect(Math.abs(Number(knee!.value) - 100)).toBeLessThanOrEqual(knee!.uncertainty!);
  });

  it.each([
    // As the trial had it, and how far its bracket reached to either side.
    ['stiff-pair', 98.85, 0.5],
    ['switching-treble', 103.19, 0.35],
    ['repaired-crossover', 35.12, 0.5],
    ['seven-shared', 69.98, 0.7],
  ])(
    'of %s lies where the trial on its readings had it, with U below 3 %%',
    async (bench, trial_W, within_W) => {
      const knees = await kneesOf(bench);
      expect(Math.abs(Number(knees[0]!.value) - trial_W)).toBeLessThan(within_W);
      for (const { value, uncertainty } of knees) expect(uncertainty!).toBeLessThan(0.03 * Number(value));
    },
  );
});
