import { analyse } from '../../src/measure/analyse.js';
import { coherentTone } from '../../src/signal/coherent-tone.js';

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

/** Watts into 8 ohm at which a 1 kHz sine, clipped at 40 V sample by sample, has a THD+N; by bisection in memory. */
export function clippedPower(thdn_percent: number): number {
  let [low_V, high_V] = [40, 60];
  while (high_V - low_V > 1e-9) {
    const middle_V = (low_V + high_V) / 2;
    if (clipped(middle_V).thdn_percent < thdn_percent) low_V = middle_V;
    else high_V = middle_V;
  }
  return clipped(low_V).power_W;
}
