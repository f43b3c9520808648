import { performance } from 'node:perf_hooks';
import FFT from 'fft.js';
import { analyse } from '../src/measure/analyse.js';
import { coherentTone } from '../src/stimulus/coherent-tone.js';
import { seededRandom } from '../src/stimulus/dither.js';

/** One line of the benchmark: what was timed, said in words, and the figure to compare. */
interface BenchLine {
  readonly name: string;
  readonly text: string;
  readonly value: number;
}

const ROUNDS = 41;
const WARM_UP_ROUNDS = 5;

/**
 * Time of a full analysis as the runner asks for it (coherent, with gap check), per channel of a pair,
 * against one bare complex transform of the same size. The two are timed in turn, so that a busy machine
 * slows both; medians of many rounds.
 */
export async function analysisBench(): Promise<BenchLine[]> {
  return [2 ** 16, 2 ** 18].map(benchSize);
}

function benchSize(frames: number): BenchLine {
  const rate_Hz = frames === 2 ** 16 ? 48_000 : 192_000;
  const tone = coherentTone({ nominal_Hz: 1000, rate_Hz, minimumFrames: frames });
  const channels = [clippedTone(tone, 1.05), clippedTone(tone, 1.02)];
  const options = { rate_Hz, tone, frequency_Hz: tone.frequency_Hz };
  const fft = new FFT(frames);
  const input = Float64Array.from({ length: 2 * frames }, (_, i) => channels[i % 2]![i >> 1]!);
  const output = new Float64Array(2 * frames);
  const analysis_ms: number[] = [];
  const transform_ms: number[] = [];
  for (let round = 0; round < ROUNDS + WARM_UP_ROUNDS; round++) {
    const perChannel = elapsed_ms(() => analyse(channels, options)) / channels.length;
    const bare = elapsed_ms(() => fft.transform(output, input));
    if (round < WARM_UP_ROUNDS) continue;
    analysis_ms.push(perChannel);
    transform_ms.push(bare);
  }
  const [own, bare] = [middle(analysis_ms), middle(transform_ms)];
  return {
    name: `analysis-${frames}`,
    text: `full analysis of ${frames} samples: ${own.toFixed(2)} ms per channel, ${(own / bare).toFixed(2)} times a bare transform (${bare.toFixed(2)} ms)`,
    value: own / bare,
  };
}

/** A clipped tone with noise 100 dB down, whole cycles. */
function clippedTone(tone: { cycles: number; frames: number }, overdrive: number): Float64Array {
  const random = seededRandom(tone.frames);
  return Float64Array.from({ length: tone.frames }, (_, n) => {
    const sine = Math.sin((2 * Math.PI * ((n * tone.cycles) % tone.frames)) / tone.frames);
    return 0.5 * Math.max(-1, Math.min(1, overdrive * sine)) + 1e-5 * (random() - random());
  });
}

function elapsed_ms(work: () => void): number {
  const begun = performance.now();
  work();
  return performance.now() - begun;
}

function middle(values: number[]): number {
  return values.sort((a, b) => a - b)[values.length >> 1]!;
}
