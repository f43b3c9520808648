import { describe, expect, it } from 'vitest';
import { analyse } from '../../src/measure/analyse.js';
import { coherentTone } from '../../src/signal/coherent-tone.js';
import { whole } from '../bench/whole.js';
import { record, recordWhole, sourceOf, withBench, worstDifference } from './bench-on.js';
import { withRig } from './rig.js';

/** Dither (two steps peak to peak, triangular) and rounding: the most that may come on top of what was played. */
const mostError = (bits: 24 | 32) => 1.5 * 2 ** (1 - bits);

/** White noise from -0.5 to 0.5 that follows from channel and frame alone (an integer hash), on the 24-bit grid. */
function noise(channel: number, frame: number): number {
  let x = Math.imul(frame + 1, 0x9e3779b1) ^ Math.imul(channel + 1, 0x85ebca6b);
  x = Math.imul(x ^ (x >>> 15), 0x2c1b3c6d);
  x = Math.imul(x ^ (x >>> 12), 0x297a2d39);
  return Math.round(((x ^ (x >>> 15)) / 2 ** 32) * 2 ** 23) / 2 ** 23;
}

/** Of two channels that are looped straight back. */
const STRAIGHT = { sample: noise, error: mostError(24) };

describe('straight through, every sample of every channel comes back in its place', () => {
  it.each([
    [44_100, 2, 32],
    [48_000, 2, 24],
    [88_200, 2, 24],
    [96_000, 2, 32],
    [176_400, 2, 24],
    [192_000, 2, 24],
    [44_100, 8, 24],
    [48_000, 8, 32],
    [96_000, 8, 24],
    [192_000, 8, 24],
  ] as const)('at %i Hz, %i channels, %i bits', async (rate_Hz, width, bits) => {
    await withRig({ rate_Hz, channels: width }, () =>
      withBench({ rate_Hz, width, bits }, async (bench) => {
        const captured = await recordWhole(bench, sourceOf(width, noise), rate_Hz / 2, {
          sample: noise,
          error: mostError(bits),
        });
        captured.forEach((samples, channel) => {
          expect(worstDifference(samples, (frame) => noise(channel, frame))).toBeLessThanOrEqual(
            mostError(bits),
          );
        });
      }),
    );
  });

  it('through two devices, one of which plays and the other captures', async () => {
    await withRig({}, () =>
      withBench({ device: 'play-only', captureDevice: 'capture-only' }, async (bench) => {
        const [samples] = await recordWhole(bench, sourceOf(2, noise), 24_000, STRAIGHT);
        expect(worstDifference(samples!, (frame) => noise(0, frame))).toBeLessThanOrEqual(mostError(24));
      }),
    );
  });

  it('through any map of channels, and silence on interface outputs that are not used', async () => {
    // Bench channel 1 listens to the output of channel 2 and the other way round; channel 3 hears an unused output.
    const map = [
      [7, 3],
      [3, 7],
      [1, 5],
    ] as const;
    await withRig({ channels: 8 }, () =>
      withBench({ width: 8, map }, async (bench) => {
        const turned = (channel: number, frame: number) => [noise(1, frame), noise(0, frame), 0][channel]!;
        const expected = { sample: turned, error: mostError(24) };
        const captured = await recordWhole(bench, sourceOf(3, noise), 24_000, expected);
        expect(worstDifference(captured[0]!, (frame) => noise(1, frame))).toBeLessThanOrEqual(mostError(24));
        expect(worstDifference(captured[1]!, (frame) => noise(0, frame))).toBeLessThanOrEqual(mostError(24));
        expect(worstDifference(captured[2]!, () => 0)).toBe(0);
      }),
    );
  });

  it('at each of many openings, although the delay differs between them', { timeout: 120_000 }, async () => {
    await withRig({}, async () => {
      for (let opening = 0; opening < 15; opening += 1) {
        await withBench({}, async (bench) => {
          const [samples] = await recordWhole(bench, sourceOf(2, noise), 4800, STRAIGHT);
          expect(worstDifference(samples!, (frame) => noise(0, frame))).toBeLessThanOrEqual(mostError(24));
          expect(bench.alignment?.heardOn).not.toBeNull();
          expect(bench.flags).toEqual([]);
        });
      }
    });
  });

  it('while this program pauses for 100 ms at a time', async () => {
    await withRig({}, () =>
      withBench({}, (bench) =>
        whole(async () => {
          let worst = 0;
          let next_s = 0.2;
          for await (const { start, channels } of bench.play(sourceOf(2, noise))) {
            worst = Math.max(
              worst,
              worstDifference(channels[0]!, (frame) => noise(0, start + frame)),
            );
            if (start > 96_000) break;
            if (start < next_s * bench.rate_Hz) continue;
            next_s += 0.3;
            const until_ms = performance.now() + 100;
            while (performance.now() < until_ms);
          }
          expect(worst).toBeLessThanOrEqual(mostError(24));
        }),
      ),
    );
  });

  it('also when nobody asks for blocks for a second', async () => {
    await withRig({}, () =>
      withBench({}, (bench) =>
        whole(async () => {
          const playing = bench.play(sourceOf(2, noise));
          await playing.next();
          const until_ms = performance.now() + 1000;
          let next = 0;
          // The bench has to go on by itself meanwhile, so this waits on the clock, not on the bench.
          while (performance.now() < until_ms) await new Promise(setImmediate);
          for (let waiting = 40; waiting > 0; waiting -= 1) {
            const { start, channels } = (await playing.next()).value!;
            if (next > 0) expect(start).toBe(next);
            next = start + channels[0]!.length;
            expect(worstDifference(channels[0]!, (frame) => noise(0, start + frame))).toBeLessThanOrEqual(
              mostError(24),
            );
          }
          await playing.return();
        }),
      ),
    );
  });
});

describe('what the units do', () => {
  it.each([
    ['weak', 1e-3],
    ['strong', 100],
    ['upside-down', -1],
  ])('%s: aligned to the sample at a gain of %f', async (device, gain) => {
    const quiet = (channel: number, frame: number) => 0.01 * noise(channel, frame);
    await withRig({}, () =>
      withBench({ device }, async (bench) => {
        // One more step of 24 bits for the rounding on the way back, and one part in 10^6 for the gain.
        const error = Math.abs(gain) * (mostError(24) + 0.005e-6) + 2 ** -23;
        const sample = (channel: number, frame: number) => gain * quiet(channel, frame);
        const [samples] = await recordWhole(bench, sourceOf(2, quiet), 24_000, { sample, error });
        expect(worstDifference(samples!, (frame) => sample(0, frame))).toBeLessThanOrEqual(error);
      }),
    );
  });

  it('off: no fault, but a flag, and silence', async () => {
    await withRig({}, () =>
      withBench({ device: 'off' }, async (bench) => {
        const [samples] = await record(bench, sourceOf(2, noise), 24_000);
        expect(worstDifference(samples!, () => 0)).toBe(0);
        expect(bench.alignment?.heardOn).toBeNull();
        expect(bench.flags).toEqual(['unaligned']);
      }),
    );
  });

  it('one channel alone is driven, and the marker is heard on it', async () => {
    await withRig({}, () =>
      withBench({}, async (bench) => {
        await bench.configure({ load_ohm: 8, driven: [2] });
        const right = sourceOf(2, (channel, frame) => (channel === 1 ? noise(1, frame) : 0));
        const sample = (channel: number, frame: number) => (channel === 1 ? noise(1, frame) : 0);
        const captured = await recordWhole(bench, right, 24_000, { sample, error: mostError(24) });
        expect(bench.alignment?.heardOn).toBe(2);
        expect(worstDifference(captured[0]!, () => 0)).toBe(0);
        expect(worstDifference(captured[1]!, (frame) => noise(1, frame))).toBeLessThanOrEqual(mostError(24));
      }),
    );
  });

  // A limiter without memory: y = min(max(x, -L), L), with L as the plugin keeps it, in single precision.
  it.each([-9, -5.9, -3, -0.1])(
    'the limiter clips a sine of %f dB like an ideal clipper',
    async (level_dB) => {
      const limit = Math.fround(10 ** (-6 / 20));
      const tone = coherentTone({ nominal_Hz: 1000, rate_Hz: 48_000 });
      const step = (2 * Math.PI * tone.cycles) / tone.frames;
      const sine = (frame: number) => 10 ** (level_dB / 20) * Math.sin(step * (frame % tone.frames));
      await withRig({ limit_dB: -6 }, () =>
        withBench({ device: 'rig' }, async (bench) => {
          const clipped = (frame: number) => Math.min(Math.max(sine(frame), -limit), limit);
          const played = sourceOf(2, (_, frame) => sine(frame));
          const expected = { sample: (_: number, frame: number) => clipped(frame), error: mostError(24) };
          const [samples] = await recordWhole(bench, played, 24_000, expected);
          expect(worstDifference(samples!, clipped)).toBeLessThanOrEqual(mostError(24));
        }),
      );
    },
  );
});

describe('the floor of the bench', () => {
  it.each([
    [48_000, 24],
    [48_000, 32],
    [192_000, 24],
  ] as const)('at %i Hz and %i bits lies below 0.0001 % THD+N', async (rate_Hz, bits) => {
    const tone = coherentTone({ nominal_Hz: 1000, rate_Hz });
    const step = (2 * Math.PI * tone.cycles) / tone.frames;
    const sine = sourceOf(2, (_, frame) => 0.9 * Math.sin(step * (frame % tone.frames)));
    const captured = await withRig({ rate_Hz }, () =>
      withBench({ rate_Hz, bits }, (bench) => record(bench, sine, tone.frames)),
    );
    for (const reading of analyse(captured, { rate_Hz, tone })) {
      expect(reading.thdn_percent).toBeLessThan(1e-4);
      // TPDF dither: LSB^2 / 4 over half the rate (facts of the trade, see src/stimulus/dither.ts).
      const theory = (100 * (2 ** (1 - bits) / 2) * Math.sqrt(20_000 / (rate_Hz / 2))) / (0.9 / Math.SQRT2);
      if (bits === 24) expect(reading.thdn_percent / theory).toBeCloseTo(1, 1);
    }
  });
});
