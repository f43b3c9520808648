import { expect, it } from 'vitest';
import { clippingUnit, FakeBench } from './fake-bench.js';
import { benchOf, benchText, play } from './run.js';

const TWO_LEVELS = `
name: Two levels
load: 8 ohm
driven: all
steps:
  - sweep: {id: loud, level: 20 W, frequencies: [1 kHz, 2 kHz]}
  - sweep: {id: soft, level: 1 W, frequencies: [1 kHz, 2 kHz]}
`;

it('a glance at a run never shows the watts of one step beside the name of another', async () => {
  const played = await play(TWO_LEVELS, benchOf(benchText(1)), new FakeBench(1, clippingUnit(1, 0.4)));
  const seen = played.of('progress').map(({ progress }) => progress);
  const of = (step: string) =>
    seen.filter((glance) => glance.step === step).map(({ power_W }) => power_W[0]!);
  for (const [step, asked_W] of [
    ['loud', 20],
    ['soft', 1],
  ] as const) {
    const powers = of(step);
    expect(powers[0]).toBeNull();
    const known = powers.filter((power_W) => power_W !== null);
    expect(known.length).toBeGreaterThan(0);
    for (const power_W of known) expect(Math.abs(power_W / asked_W - 1)).toBeLessThan(0.2);
  }
});
