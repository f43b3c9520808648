import { expect, it } from 'vitest';
import type { FoundPower } from '../../../src/record/found-power.js';
import { shortFigure } from '../../../src/view/browse/short-figure.js';

const power = (more: Partial<FoundPower>): FoundPower => ({
  run: 1,
  step_kind: 'climb',
  channel: 1,
  driven: 2,
  load_ohm: 8,
  frequency_Hz: 1000,
  threshold_percent: 1,
  power_W: 100,
  ...more,
});

it('is the weakest channel at the lowest threshold that every channel has reached', () => {
  const powers = [
    power({ threshold_percent: 0.1, power_W: 90 }),
    power({ threshold_percent: 0.1, channel: 2, power_W: 89 }),
    power({ power_W: 101 }),
    power({ channel: 2, power_W: 99.5 }),
  ];
  expect(shortFigure(powers)).toEqual({ power_W: 89, words: 'at 0.1 % into 8 ohm, 1 kHz, 2 channels' });
  const lame = powers.map((one) => (one.power_W === 89 ? { ...one, power_W: null } : one));
  expect(shortFigure(lame)).toEqual({ power_W: 99.5, words: 'at 1 % into 8 ohm, 1 kHz, 2 channels' });
});

it('is the least ceiling with most channels driven where the band was searched', () => {
  const ceiling = (frequency_Hz: number, power_W: number | null, driven = 2) =>
    power({ step_kind: 'max-power', threshold_percent: 0.1, frequency_Hz, power_W, driven });
  const powers = [power({}), ceiling(20, 80, 1), ceiling(20, 61), ceiling(1000, 90), ceiling(20_000, 70)];
  expect(shortFigure(powers)).toEqual({
    power_W: 61,
    words: 'at 0.1 % into 8 ohm, 20 Hz to 20 kHz, 2 channels',
  });
});

it('takes the first load when several were measured with as many channels', () => {
  expect(shortFigure([power({}), power({ load_ohm: 4, power_W: 50 })])?.power_W).toBe(100);
});

it('is none where nothing was found', () => {
  expect(shortFigure([])).toBeNull();
  expect(shortFigure([power({ power_W: null })])).toBeNull();
});
