import type { CoherentTone } from './coherent-tone.js';
import { type Envelope, gateAt, gateOf } from './envelope.js';

/** One sine of a stimulus. */
export interface Line {
  readonly tone: CoherentTone;
  /** Its peak as a part of that of the whole. */
  readonly share: number;
}

/**
 * What plays, but for its level: lines under an envelope. The level is a digital peak for each channel, which the lines
 * reach when their crests meet.
 */
export interface Stimulus {
  /** None for silence, one for a sine, two for intermodulation; each coherent with the same record. */
  readonly lines: readonly Line[];
  readonly envelope: Envelope;
  /** How long it plays; null: until something else does. */
  readonly duration_s: number | null;
  /** Length of the record, frames. */
  readonly frames: number;
  readonly rate_Hz: number;
}

/** A stimulus broke one of its rules: a fault of the program, never of the user. */
export class StimulusError extends Error {
  override readonly name = 'StimulusError';
}

const STEADY = { kind: 'steady' } as const;

/** A sine that plays on and on. */
export const steady = (tone: CoherentTone): Stimulus => ({
  lines: [{ tone, share: 1 }],
  envelope: STEADY,
  duration_s: null,
  frames: tone.frames,
  rate_Hz: tone.rate_Hz,
});

/** Nothing. @param frames of the records that are taken of it */
export const silentStimulus = (frames: number, rate_Hz: number): Stimulus => ({
  lines: [],
  envelope: { kind: 'silence' },
  duration_s: null,
  frames,
  rate_Hz,
});

/** Lines whose shares add up to one. */
export interface StimulusParts {
  readonly lines: readonly [Line, ...Line[]];
  readonly envelope?: Exclude<Envelope, { kind: 'silence' }>;
  readonly duration_s?: number | null;
}

/**
 * Lines under an envelope.
 *
 * @throws StimulusError when the lines do not belong to one record, their shares do not add up to one, or a burst leaves no
 *   whole cycle of the lowest line between its edges
 */
export function stimulus({ lines, envelope = STEADY, duration_s = null }: StimulusParts): Stimulus {
  const [{ tone }] = lines;
  const { frames, rate_Hz } = tone;
  const refuse = (what: string) => new StimulusError(what);
  if (lines.some((line) => line.tone.frames !== frames || line.tone.rate_Hz !== rate_Hz))
    throw refuse('the lines of a stimulus belong to one record');
  if (new Set(lines.map((line) => line.tone.cycles)).size < lines.length)
    throw refuse('two lines of a stimulus are the same');
  const shares = lines.reduce((sum, { share }) => sum + share, 0);
  if (lines.some(({ share }) => !(share > 0)) || Math.abs(shares - 1) > 1e-12)
    throw refuse('the shares of the lines must be positive and add up to one');
  const gate = gateOf(envelope, rate_Hz);
  const slowest = Math.max(...lines.map((line) => frames / line.tone.cycles));
  if (gate && !(gate.on < gate.period && gate.on - 2 * gate.edge >= slowest))
    throw refuse('a burst is shorter than its period and holds a whole cycle at full level');
  return { lines, envelope, duration_s, frames, rate_Hz };
}

/** Two lines in a ratio of their peaks, as for intermodulation: 4 and 1 put four fifths of the peak into the first. */
export function twoTone(
  first: CoherentTone,
  second: CoherentTone,
  ratio: readonly [number, number],
): Stimulus {
  const whole = ratio[0] + ratio[1];
  return stimulus({
    lines: [
      { tone: first, share: ratio[0] / whole },
      { tone: second, share: ratio[1] / whole },
    ],
  });
}

/** Whether two stimuli give the same samples at the same level. */
export function sameStimulus(a: Stimulus, b: Stimulus): boolean {
  if (a === b) return true;
  const sameLines =
    a.lines.length === b.lines.length &&
    a.lines.every(
      ({ tone, share }, i) => tone.cycles === b.lines[i]!.tone.cycles && share === b.lines[i]!.share,
    );
  return sameLines && a.frames === b.frames && a.rate_Hz === b.rate_Hz && sameTime(a, b);
}

function sameTime(a: Stimulus, b: Stimulus): boolean {
  const [one, other] = [gateOf(a.envelope, a.rate_Hz), gateOf(b.envelope, b.rate_Hz)];
  const sameGate = one?.on === other?.on && one?.period === other?.period;
  return a.envelope.kind === b.envelope.kind && sameGate && a.duration_s === b.duration_s;
}

/** Rms of what sounds, as a multiple of that of one sine with the same peak: 1 for a sine, less for several. */
export const rmsShare = ({ lines }: Stimulus): number =>
  Math.sqrt(lines.reduce((sum, { share }) => sum + share * share, 0));

/** Peak over rms of a sine. */
export const SINE_CREST = Math.SQRT2;

/**
 * Samples of a stimulus at a peak of one, by the frame number alone: the phase of each line is 2 pi J n / N, and a burst
 * begins where its period does.
 */
export function samplesOf(of: Stimulus, from: number, count: number): Float64Array {
  const [only, ...more] = of.lines;
  const samples = only ? sine(only.tone, from, count) : new Float64Array(count);
  if (only && more.length > 0) {
    for (let i = 0; i < count; i += 1) samples[i]! *= only.share;
    for (const { tone, share } of more) {
      const line = sine(tone, from, count);
      for (let i = 0; i < count; i += 1) samples[i]! += share * line[i]!;
    }
  }
  const gate = gateOf(of.envelope, of.rate_Hz);
  if (gate) for (let i = 0; i < count; i += 1) samples[i]! *= gateAt(gate, from + i);
  return samples;
}

function sine(tone: CoherentTone, from: number, count: number): Float64Array {
  const samples = new Float64Array(count);
  const step = (2 * Math.PI) / tone.frames;
  let index = (tone.cycles * (from % tone.frames)) % tone.frames;
  for (let i = 0; i < count; i += 1) {
    samples[i] = Math.sin(step * index);
    index += tone.cycles;
    if (index >= tone.frames) index -= tone.frames;
  }
  return samples;
}
