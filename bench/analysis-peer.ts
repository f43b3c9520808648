import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { analyse } from '../src/measure/analyse.js';
import { type CoherentTone, coherentTone } from '../src/signal/coherent-tone.js';
import { decodeWav } from '../src/signal/decode-wav.js';
import { seededRandom } from '../src/signal/dither.js';
import { encodeWav } from '../src/signal/encode-wav.js';
import { cpu_ms } from './cpu-time.js';
import { type PeerRound, ScipyPeer } from './scipy-peer.js';

interface BenchLine {
  readonly name: string;
  readonly text: string;
  readonly value: number;
}

/** The least CPU time of so many rounds is taken. */
const ROUNDS = 31;
/** Both must see the same distortion, or they have not done the same work. */
const MOST_DIFFERENCE = 1e-4;

/**
 * The same work on the same files by this program and by a scipy script, in one run: two channels at 48 kHz and eight at
 * 192 kHz, read from WAV, each a whole record of a clipped tone. By turns, round by round, so that a busy machine
 * slows both; CPU time of all threads, Python's imports left out.
 */
export async function peerBench(): Promise<BenchLine[]> {
  const folder = mkdtempSync(join(tmpdir(), 'ohmest-peer-'));
  try {
    return [
      ...(await benchFile(folder, { rate_Hz: 48_000, channels: 2, frames: 2 ** 16 })),
      ...(await benchFile(folder, { rate_Hz: 192_000, channels: 8, frames: 2 ** 18 })),
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

async function benchFile(folder: string, { rate_Hz, channels, frames }: Shape): Promise<BenchLine[]> {
  const tone = coherentTone({ nominal_Hz: 1000, rate_Hz, minimumFrames: frames });
  const file = join(folder, `${rate_Hz}.wav`);
  const records = Array.from({ length: channels }, (_, i) => clippedTone(tone, 1.01 + 0.01 * i));
  writeFileSync(file, encodeWav({ rate_Hz, channels: records, format: 'float32' }));
  const peers = (['each', 'once'] as const).map((phasors) => new ScipyPeer(phasors, tone.frequency_Hz, file));
  try {
    const [own, each, once] = await leastTimes(peers, () => ownRound(file, tone));
    const share = (own! * channels * rate_Hz) / frames / 1000;
    const what = `${channels} channels of ${frames} samples at ${rate_Hz / 1000} kHz`;
    const text = `read and analysed in ${(100 * share).toFixed(1)} % of real time, ${own!.toFixed(2)} ms per channel`;
    return [
      { name: what, text, value: share },
      against('  by scipy', own!, each!),
      against('  by scipy, phasors once for all channels', own!, once!),
    ];
  } finally {
    for (const peer of peers) peer.close();
  }
}

function against(name: string, own: number, peer: number): BenchLine {
  const value = own / peer;
  if (!Number.isFinite(peer)) return { name, text: 'not measured: needs python3-scipy', value: Number.NaN };
  return {
    name,
    text: `${peer.toFixed(2)} ms per channel; this program needs ${value.toFixed(2)} times that`,
    value,
  };
}

/** Least time a channel of this program and of each peer; infinite for a peer that is not to be had. */
async function leastTimes(peers: readonly ScipyPeer[], ownRound: () => PeerRound): Promise<number[]> {
  const least = [ownRound, ...peers].map(() => Number.POSITIVE_INFINITY);
  for (let round = 0; round < ROUNDS; round += 1) {
    const own = ownRound();
    const rounds = [own];
    for (const peer of peers) {
      const theirs = await peer.round();
      if (theirs) requireSame(own, theirs);
      rounds.push(theirs ?? { ms_per_channel: Number.POSITIVE_INFINITY, figures: [] });
    }
    rounds.forEach(({ ms_per_channel }, i) => {
      least[i] = Math.min(least[i]!, ms_per_channel);
    });
  }
  return least;
}

function requireSame(own: PeerRound, theirs: PeerRound): void {
  theirs.figures.forEach(({ thdn_percent }, i) => {
    const mine = own.figures[i]!.thdn_percent;
    if (!(Math.abs(thdn_percent / mine - 1) <= MOST_DIFFERENCE))
      throw new Error(`scipy reads ${thdn_percent} % and this program ${mine} %`);
  });
}

function ownRound(file: string, tone: CoherentTone): PeerRound {
  const begun = cpu_ms();
  const { channels, rate_Hz } = decodeWav(readFileSync(file), file);
  const options = { rate_Hz, tone, frequency_Hz: tone.frequency_Hz, band: [20, 20_000] as const };
  const figures = analyse(channels, options);
  return { ms_per_channel: (cpu_ms() - begun) / channels.length, figures };
}

function clippedTone({ cycles, frames }: CoherentTone, overdrive: number): Float64Array {
  const random = seededRandom(frames);
  return Float64Array.from({ length: frames }, (_, n) => {
    const sine = Math.sin((2 * Math.PI * ((n * cycles) % frames)) / frames);
    return 0.5 * Math.max(-1, Math.min(1, overdrive * sine)) + 1e-5 * (random() - random());
  });
}
