import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { analyse } from '../src/measure/analyse.js';
import { type CoherentTone, coherentTone } from '../src/stimulus/coherent-tone.js';
import { seededRandom } from '../src/stimulus/dither.js';
import { decodeWav } from '../src/wav/decode-wav.js';
import { encodeWav } from '../src/wav/encode-wav.js';

interface BenchLine {
  readonly name: string;
  readonly text: string;
  readonly value: number;
}

const SCRIPT = fileURLToPath(new URL('analysis-scipy.py', import.meta.url));
const PYTHON = '/usr/bin/python3';
const ROUNDS = 9;
const WARM_UP_ROUNDS = 4;
/** Both must see the same distortion, or they have not done the same work. */
const MOST_DIFFERENCE = 1e-4;

/**
 * The same work on the same files by this program and by a scipy script, in one run: two channels at 48 kHz and eight at
 * 192 kHz, read from WAV, each a whole record of a clipped tone. The time of Python's imports is left out.
 */
export async function peerBench(): Promise<BenchLine[]> {
  const folder = mkdtempSync(join(tmpdir(), 'ohmest-peer-'));
  try {
    return [
      ...benchFile(folder, { rate_Hz: 48_000, channels: 2, frames: 2 ** 16 }),
      ...benchFile(folder, { rate_Hz: 192_000, channels: 8, frames: 2 ** 18 }),
    ];
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

interface Shape {
  readonly rate_Hz: number;
  readonly channels: number;
  readonly frames: number;
}

function benchFile(folder: string, { rate_Hz, channels, frames }: Shape): BenchLine[] {
  const tone = coherentTone({ nominal_Hz: 1000, rate_Hz, minimumFrames: frames });
  const file = join(folder, `${rate_Hz}.wav`);
  const records = Array.from({ length: channels }, (_, i) => clippedTone(tone, 1.01 + 0.01 * i));
  writeFileSync(file, encodeWav({ rate_Hz, channels: records, format: 'float32' }));
  const own = ownTime(file, tone);
  const what = `${channels} channels of ${frames} samples at ${rate_Hz / 1000} kHz`;
  const share = (own.ms_per_channel * channels * rate_Hz) / frames / 1000;
  const lines = [
    {
      name: what,
      text: `read and analysed in ${(100 * share).toFixed(1)} % of real time, ${own.ms_per_channel.toFixed(2)} ms per channel`,
      value: share,
    },
  ];
  const peer = peerTime(file, tone, own.thdn_percent);
  if (!peer)
    return [...lines, { name: '  by scipy', text: 'not measured: needs python3-scipy', value: Number.NaN }];
  const value = own.ms_per_channel / peer.ms_per_channel;
  const text = `${peer.ms_per_channel.toFixed(2)} ms per channel; this program needs ${value.toFixed(2)} times that`;
  return [...lines, { name: '  by scipy', text, value }];
}

function clippedTone({ cycles, frames }: CoherentTone, overdrive: number): Float64Array {
  const random = seededRandom(frames);
  return Float64Array.from({ length: frames }, (_, n) => {
    const sine = Math.sin((2 * Math.PI * ((n * cycles) % frames)) / frames);
    return 0.5 * Math.max(-1, Math.min(1, overdrive * sine)) + 1e-5 * (random() - random());
  });
}

function ownTime(file: string, tone: CoherentTone) {
  const times: number[] = [];
  let thdn_percent: number[] = [];
  for (let round = 0; round < ROUNDS + WARM_UP_ROUNDS; round += 1) {
    const begun_ms = performance.now();
    const { channels, rate_Hz } = decodeWav(readFileSync(file), file);
    const options = { rate_Hz, tone, frequency_Hz: tone.frequency_Hz, band: [20, 20_000] as const };
    thdn_percent = analyse(channels, options).map((one) => one.thdn_percent);
    if (round >= WARM_UP_ROUNDS) times.push((performance.now() - begun_ms) / channels.length);
  }
  return { ms_per_channel: times.sort((a, b) => a - b)[ROUNDS >> 1]!, thdn_percent };
}

/** Null where there is no scipy. */
function peerTime(file: string, tone: CoherentTone, thdn_percent: readonly number[]) {
  const rounds = String(ROUNDS + WARM_UP_ROUNDS);
  const { status, stdout } = spawnSync(PYTHON, [SCRIPT, rounds, String(tone.frequency_Hz), file], {
    encoding: 'utf8',
  });
  if (status !== 0) return null;
  const answer = JSON.parse(stdout) as { ms_per_channel: number; figures: { thdn_percent: number }[] };
  answer.figures.forEach((figure, i) => {
    if (Math.abs(figure.thdn_percent / thdn_percent[i]! - 1) > MOST_DIFFERENCE)
      throw new Error(`scipy reads ${figure.thdn_percent} % and this program ${thdn_percent[i]} %`);
  });
  return answer;
}
