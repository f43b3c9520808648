import { expect, it } from 'vitest';
import { analyse } from '../../src/measure/analyse.js';
import type { PowerAtThdn } from '../../src/record/run-record.js';
import { coherentTone } from '../../src/stimulus/coherent-tone.js';
import { withRig } from './rig.js';
import { runClimb } from './run-climb.js';

const tone = coherentTone({ nominal_Hz: 1000, rate_Hz: 48_000 });

/** THD+N and power into 8 ohm of a sampled sine of `peak_V` clipped at 40 V, in memory. */
function clipped(peak_V: number) {
  const samples = Float64Array.from({ length: tone.frames }, (_, n) => {
    const volts = peak_V * Math.sin((2 * Math.PI * ((tone.cycles * n) % tone.frames)) / tone.frames);
    return Math.min(Math.max(volts, -40), 40);
  });
  const [reading] = analyse([samples], { rate_Hz: 48_000, tone });
  return { thdn_percent: reading!.thdn_percent, power_W: reading!.rms ** 2 / 8 };
}

/** The power at which a clipped sine has a THD+N, by bisection. */
function clippedPower(thdn_percent: number): number {
  let [low_V, high_V] = [40, 60];
  while (high_V - low_V > 1e-9) {
    const middle_V = (low_V + high_V) / 2;
    if (clipped(middle_V).thdn_percent < thdn_percent) low_V = middle_V;
    else high_V = middle_V;
  }
  return clipped(low_V).power_W;
}

const dB = (ratio: number) => 10 * Math.log10(ratio);

it('climbs a limiter to its marks on a real sound path', { retry: 2 }, async () => {
  const { outcome, reason, events } = await withRig({ limit_dB: -6 }, runClimb);
  expect(`${outcome}: ${reason}`).toMatch(/^completed/);
  const marks = events
    .filter((event) => event.kind === 'result')
    .map((event) => event.result)
    .filter((result): result is PowerAtThdn => result.kind === 'power-at-thdn');
  const power = (channel: number, percent: number) =>
    marks.find((mark) => mark.channel === channel && mark.threshold_percent === percent)!.power_W!;
  for (const channel of [1, 2]) {
    // Closed form of a hard clipper, 1 kHz, harmonics up to 20 kHz: 104.770 W for an onset of 100 W. The limiter
    // works at 48 kHz, so its harmonics beyond 24 kHz fold into the band: hence the exact comparison below.
    expect(Math.abs(dB(power(channel, 1) / 104.77))).toBeLessThan(0.05);
    expect(Math.abs(dB(power(channel, 1) / clippedPower(1)))).toBeLessThan(0.01);
    expect(Math.abs(dB(power(channel, 0.1) / clippedPower(0.1)))).toBeLessThan(0.01);
  }
});
