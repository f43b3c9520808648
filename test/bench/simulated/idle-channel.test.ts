import { describe, expect, it } from 'vitest';
import type { SignalSource } from '../../../src/bench/bench.js';
import { SimulatedBench } from '../../../src/bench/simulated/simulated-bench.js';
import { readTwin } from '../../../src/bench/simulated/twin-file.js';
import { setupFor } from './twin-stand.js';

/** Noise, offset, bending, crossover, and load and series resistance that share the volts. */
const UNIT = `
twin: Invented
gain: 29 dB
noise: 40 uV
coupling: 2 Hz
curvature: { second: 0.05 %, third: 0.05 %, at: 20 V }
crossover: { missing: 20 mV, softness: 20 mA }
output: { resistance: 0.5 ohm, offset: -60 mV, slew: 20 V/us }
supply: { unregulated: { mains: 230 V, frequency: 50 Hz, secondary: 36 V, resistance: 0.2 ohm, reservoir: 10 mF, rejection: 60 dB } }
interface: { output_noise: 10 uV }
`;
const FRAMES = 24_576;
/** Too little to be heard, and yet a signal: the channel is worked out in full. */
const WHISPER = 1e-12;

/** Silence, then a tone from frame `from` on. */
const silenceUntil = (from: number, silence: number): SignalSource => ({
  horizonFrames: FRAMES,
  render: (start, frames) => [
    Float64Array.from({ length: frames }, (_, n) => {
      const at = start + n - from;
      return at < 0 ? silence : 0.05 * Math.min(1, at / 480) * Math.sin(0.13 * at);
    }),
  ],
});

async function captured(source: SignalSource, unit = UNIT, load = {}): Promise<Float64Array> {
  const bench = new SimulatedBench(setupFor({ load }), readTwin(unit, 'unit.yaml'));
  await bench.open();
  const record = new Float64Array(FRAMES);
  for await (const { start, channels } of bench.play(source)) {
    record.set(channels[0]!.subarray(0, FRAMES - start), start);
    if (start + channels[0]!.length >= FRAMES) break;
  }
  return record;
}

const rms = (samples: Float64Array) => Math.sqrt(samples.reduce((sum, x) => sum + x * x, 0) / samples.length);
const mean = (samples: Float64Array) => samples.reduce((sum, x) => sum + x, 0) / samples.length;
const less = (a: Float64Array, b: Float64Array) => a.map((x, i) => x - b[i]!);

describe('a channel that has been idle for a while', () => {
  it.each([{}, { inductance_H: 5e-6 }])(
    'gives the noise and offset that it gives when worked out in full (load %o)',
    async (load) => {
      const [idle, full] = await Promise.all(
        [0, WHISPER].map((silence) => captured(silenceUntil(FRAMES, silence), UNIT, load)),
      );
      const [late, exact] = [idle!, full!].map((samples) => samples.subarray(8192));
      const noise = rms(exact!.map((x) => x - mean(exact!)));
      expect(noise).toBeGreaterThan(0);
      expect(Math.abs(mean(late!) / mean(exact!) - 1)).toBeLessThan(1e-4);
      // The bending stages take 12 % off at so low a level; what they do above 0.42 of the rate is all that differs.
      expect(rms(less(late!, exact!)) / noise).toBeLessThan(0.05);
      expect(rms(less(late!, exact!))).toBeGreaterThan(0);
    },
  );

  it('takes up a tone without more of a step than its noise', async () => {
    const [idle, full] = await Promise.all(
      [0, WHISPER].map((silence) => captured(silenceUntil(12_288, silence))),
    );
    const noise = rms(full!.subarray(4096, 12_000).map((x) => x - mean(full!.subarray(4096, 12_000))));
    const difference = less(idle!, full!);
    expect(Math.max(...difference.map(Math.abs))).toBeLessThan(noise);
    // Once the filters have filled again nothing is left but rails that drew a trifle less.
    expect(rms(difference.subarray(16_384)) / noise).toBeLessThan(1e-2);
  });

  it('is never left standing behind an output filter, which shapes its noise', async () => {
    const filtered = UNIT.replace('slew: 20 V/us', 'filter: { inductance: 20 uH, capacitance: 1 uF }');
    const [idle, full] = await Promise.all(
      [0, WHISPER].map((silence) => captured(silenceUntil(FRAMES, silence), filtered)),
    );
    expect(rms(less(idle!, full!))).toBeLessThan(1e-11);
  });

  it('shows a DC fault at once', async () => {
    const faulty = `${UNIT}dc_fault: { channel: 1, voltage: 5 V, after: 0.3 s }\n`;
    const record = await captured(silenceUntil(FRAMES, 0), faulty);
    expect(mean(record.subarray(4096, 12_000)) * 200).toBeCloseTo(-0.06, 1);
    expect(mean(record.subarray(20_000)) * 200).toBeCloseTo((5 - 0.06) * (8 / 8.5), 1);
  });
});
