import { decibelsOfPower } from '../../units/decibel.js';
import { doubtsOf } from '../bounds/doubts.js';
import { type Evidence, isFound } from '../bounds/evidence.js';
import { bestOf, grouped, settingKey, type Trial, worstOf } from '../bounds/trials.js';
import type { ExceededBy, OutOfLine } from './conclusion.js';

/** A channel is out of line when it gives this much less power than the others, or this many times their THD+N. */
const WEAKER_dB = 0.5;
const DIRTIER = 3;
/** THD+N below this is nobody's concern, whatever the other channels do. */
const CONCERNS_PERCENT = 0.01;
/** THD+N of channels is compared below this share of the power at which the first of them clips. */
const BELOW_CLIPPING = 0.5;
/** Distortion with this much noise in it is noise. */
const NOISE_SHARE = 0.7;
/** Powers this factor apart are of different levels. */
const APART = 1.25;

/** A channel that stands out, with the one that it is compared with. */
export interface Outlier {
  readonly channel: number;
  readonly against: number;
  readonly out: OutOfLine;
  readonly nominal_Hz: number;
  readonly points: readonly number[];
  readonly steps: readonly string[];
}

const median = <Item>(items: readonly Item[], of: (item: Item) => number): Item =>
  [...items].sort((a, b) => of(a) - of(b))[Math.floor((items.length - 1) / 2)]!;

/** Channels with less power than the middle one of the others, at one frequency and limit: the largest difference of each. */
export function weakerChannels(evidence: readonly Evidence[]): Outlier[] {
  const places = grouped(
    evidence.filter(({ kept_W }) => kept_W !== null),
    ({ nominal_Hz, load_ohm, driven, limit_percent, step }) =>
      JSON.stringify([nominal_Hz, load_ohm, driven, limit_percent, step]),
  );
  const found = places.flatMap((pieces) =>
    pieces.filter(isFound).flatMap((own): Outlier[] => {
      const others = pieces.filter(({ channel }) => channel !== own.channel);
      if (others.length === 0) return [];
      const other = median(others, ({ kept_W }) => kept_W!);
      if (decibelsOfPower(other.kept_W! / own.kept_W!) < WEAKER_dB) return [];
      const { channel, limit_percent, nominal_Hz, step } = own;
      return [
        {
          ...{ channel, against: other.channel, nominal_Hz, steps: [step] },
          out: { by: 'power', limit_percent, own_W: own.kept_W!, other_W: other.kept_W! },
          points: [...own.points, ...other.points],
        },
      ];
    }),
  );
  return worstOfEach(found, ({ out }) => (out.by === 'power' ? out.other_W / out.own_W : 0));
}

/** Channels with several times the THD+N of the middle one of the others at one point, well below clipping: the highest of each. */
export function dirtierChannels(trials: readonly Trial[], evidence: readonly Evidence[]): Outlier[] {
  const clipping = clippingPowers(evidence);
  const low = trials.filter(
    (trial) => trial.reading.power_W <= BELOW_CLIPPING * (clipping(trial) ?? Number.POSITIVE_INFINITY),
  );
  const found = grouped(low, ({ point }) => `${point.number}`).flatMap((together) =>
    together.flatMap((own): Outlier[] => {
      const others = together.filter(({ reading }) => reading.channel !== own.reading.channel);
      if (others.length === 0 || own.distortion < CONCERNS_PERCENT) return [];
      const other = median(others, ({ distortion }) => distortion);
      const doubtful = doubtsOf(own.reading.flags, 'exceeded').length > 0;
      if (doubtful || bestOf(own) <= DIRTIER * worstOf(other)) return [];
      const { point, reading, distortion } = own;
      return [
        {
          ...{ channel: reading.channel, against: other.reading.channel, nominal_Hz: point.nominal_Hz },
          out: {
            ...{ by: 'thdn', power_W: reading.power_W, own_percent: distortion },
            ...{ other_percent: other.distortion, because: becauseOf(own, ownSetting(trials, own)) },
          },
          ...{ points: [point.number], steps: [point.step] },
        },
      ];
    }),
  );
  return worstOfEach(found, ({ out }) => (out.by === 'thdn' ? out.own_percent : 0));
}

const ownSetting = (trials: readonly Trial[], own: Trial): Trial[] =>
  trials.filter((trial) => settingKey(trial) === settingKey(own));

/** The lowest power at which any channel of a setting exceeds its limit for good; null where none was found. */
function clippingPowers(evidence: readonly Evidence[]): (trial: Trial) => number | null {
  const lowest = new Map<string, number>();
  const keyOf = (load_ohm: number, driven: readonly number[]) => `${load_ohm} ${driven.join()}`;
  for (const piece of evidence.filter(isFound)) {
    const key = keyOf(piece.load_ohm, piece.driven);
    lowest.set(key, Math.min(lowest.get(key) ?? Number.POSITIVE_INFINITY, piece.kept_W!));
  }
  return ({ point }) => lowest.get(keyOf(point.load_ohm, point.driven)) ?? null;
}

function worstOfEach(found: readonly Outlier[], size: (outlier: Outlier) => number): Outlier[] {
  return grouped(found, ({ channel }) => `${channel}`)
    .map((own) => own.reduce((worst, one) => (size(one) > size(worst) ? one : worst)))
    .sort((a, b) => a.channel - b.channel);
}

/**
 * What distortion comes from, by its make-up and by what it does at other levels: noise; crossover, which falls with level
 * from the lowest on; a hump, with less on both sides; else no more than distortion.
 *
 * @param trials all of the same setting
 */
export function becauseOf(worst: Trial, trials: readonly Trial[]): ExceededBy {
  const { noise_V, voltage_V, power_W } = worst.reading;
  if (100 * (noise_V / voltage_V) >= NOISE_SHARE * worst.distortion) return 'noise';
  const isCleaner = ({ distortion }: Trial) => distortion < worst.distortion / 2;
  const below = trials.some((trial) => trial.reading.power_W < power_W / APART && isCleaner(trial));
  const above = trials.some((trial) => trial.reading.power_W > power_W * APART && isCleaner(trial));
  if (!above) return 'distortion';
  return below ? 'hump' : 'crossover';
}
