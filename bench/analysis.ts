import { execFileSync } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import FFT from 'fft.js';
import { analyse } from '../src/measure/analyse.js';
import { coherentTone } from '../src/signal/coherent-tone.js';
import { seededRandom } from '../src/signal/dither.js';
import { cpu_ms } from './cpu-time.js';

/** One line of the benchmark: what was timed, said in words, and the figure to compare. */
interface BenchLine {
  readonly name: string;
  readonly text: string;
  readonly value: number;
}

const ROUNDS = 41;

/**
 * Time of a full analysis as the runner asks for it (coherent, with gap check), per channel of a pair,
 * against one bare complex transform of the same size. The two are timed in turn, by CPU time, so that a busy machine
 * slows both; least of many rounds.
 */
export async function analysisBench(): Promise<BenchLine[]> {
  return [...[2 ** 16, 2 ** 18].map(benchSize), garbageLine()];
}

/** In a process of its own, whose collector can be called and has room to wait. */
function garbageLine(): BenchLine {
  const flags = ['--expose-gc', '--min-semi-space-size=128', '--max-semi-space-size=128', '--import', 'tsx'];
  const script = fileURLToPath(new URL('analysis-garbage.ts', import.meta.url));
  const value = Number(execFileSync(process.execPath, [...flags, script], { encoding: 'utf8' })) / 1e6;
  const text = `one point of eight channels of 65536 samples leaves ${value.toFixed(1)} MB of arrays behind`;
  return { name: 'garbage', text, value };
}

function benchSize(frames: number): BenchLine {
  const rate_Hz = frames === 2 ** 16 ? 48_000 : 192_000;
  const tone = coherentTone({ nominal_Hz: 1000, rate_Hz, minimumFrames: frames });
  const channels = [clippedTone(tone, 1.05), clippedTone(tone, 1.02)];
  const options = { rate_Hz, tone, frequency_Hz: tone.frequency_Hz };
  const fft = new FFT(frames);
  const input = Float64Array.from({ length: 2 * frames }, (_, i) => channels[i % 2]![i >> 1]!);
  const output = new Float64Array(2 * frames);
  let own = Number.POSITIVE_INFINITY;
  let bare = Number.POSITIVE_INFINITY;
  for (let round = 0; round < ROUNDS; round++) {
    own = Math.min(own, spent_ms(() => analyse(channels, options)) / channels.length);
    bare = Math.min(
      bare,
      spent_ms(() => fft.transform(output, input)),
    );
  }
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

function spent_ms(work: () => void): number {
  const begun = cpu_ms();
  work();
  return cpu_ms() - begun;
}
