import { formatQuantity } from '../../units/format.js';
import {
  type Cause,
  type CauseCode,
  type CauseQuestion,
  gainOver_dB,
  type Suspicion,
  suspicion,
} from './question.js';
import { suspectEarlySag, suspectFilter, suspectHeat, suspectProtection } from './suspect-gain.js';
import { limited, suspectLimits } from './suspect-limits.js';

/*
 * What a runner must take for a question (`CauseQuestion`); every capture is a full coherent record, `drive` in
 * one unit throughout:
 *
 * - band: `failing` 0.3 to 1 dB above the maximum power at the frequency that falls short; `low` 20 dB below it;
 *   `reference` and `referenceLow` the same two at 1 kHz, taken once for all frequencies of a channel, load and
 *   driven set. One extra capture a frequency where the search's own capture just above the maximum power is kept.
 * - load: `failing` and `low` into the load that falls short, `otherLoad` just above the maximum power into the
 *   other, same frequency (or, when a frequency of the treble fails into the heavier load: at the frequency of
 *   `reference`).
 * - hold: `failing` the last record, `overTime` the level of every record from the first on, `low` if there is
 *   one.
 * - no maximum power, since distortion never falls below the threshold: `failing` at the lowest level tried, `low` 20
 *   dB below.
 *
 * The rate must pass the third harmonic (0.4 of the rate at least three times the frequency), else shapes
 * cannot be told.
 */

/** Never surer than this: how right the method is was found on simulated units, and real ones are stranger. */
const MOST_CONFIDENCE = 0.95;
/** Compression that is worth a word. */
const PLAIN_COMPRESSION_dB = 0.1;
/** Causes with less than this are not worth a line. */
const LEAST_CONFIDENCE = 0.1;

/**
 * Why power falls short: causes with confidence and evidence, the likeliest first, at least one. `not-clear`
 * takes what no cause accounts for.
 */
export function causeOf(question: CauseQuestion): Cause[] {
  const weighed = weigh(question);
  const sum = weighed.reduce((total, [, { weight }]) => total + weight, 0);
  const rest = Math.max(0, 1 - sum);
  const all: [CauseCode, Suspicion][] = [
    ...weighed,
    ['not-clear', { weight: rest, evidence: [nothingFound(question)] }],
  ];
  const causes = all
    .map(([cause, { weight, evidence }]) => ({
      cause,
      confidence: Math.min(MOST_CONFIDENCE, weight / Math.max(1, sum)),
      evidence,
    }))
    .sort((a, b) => b.confidence - a.confidence);
  return causes.filter(({ confidence }, i) => i === 0 || confidence >= LEAST_CONFIDENCE);
}

/** Of outputs that are suddenly gone so many are the unit's own doing: from experience, no source. */
const BY_PROTECTION = 0.8;

/** Why an output is suddenly gone at a constant level. @param before_V what the same level gave until then, rms */
export const causesOfLoss = (now_V: number, before_V: number): Cause[] => [
  {
    cause: 'protection',
    confidence: BY_PROTECTION,
    evidence: [
      `the output fell from ${formatQuantity(before_V, 'V')} to ${formatQuantity(now_V, 'V')} at the same level`,
    ],
  },
  {
    cause: 'not-clear',
    confidence: 1 - BY_PROTECTION,
    evidence: ['a lead that has come off shows the same'],
  },
];

function weigh(question: CauseQuestion): [CauseCode, Suspicion][] {
  const protection = suspectProtection(question);
  // Nothing is left of the wave to look at.
  if (protection.weight === 1) return [['protection', protection]];
  const filter = suspectFilter(question);
  const { slew, crossover } = suspectLimits(question);
  // Rails and current stop the wave ahead of the filter, which bends what it passes on: look at them where it
  // passes all.
  const { reference, referenceLow } = question;
  const unbent =
    filter.weight > 0 && reference && referenceLow
      ? { ...question, failing: reference, low: referenceLow }
      : question;
  const { sag, rail, current } = suspectLimits(unbent);
  const early = suspectEarlySag(question);
  // What the filter takes is not the limits' doing; and harmonics behind a filter have lost their shape.
  const share = 1 - filter.weight;
  const shape = share * (filter.weight > 0 ? 0.5 : 1);
  return [
    ['output-filter', filter],
    ['supply-sag', scaled(stronger(sag, early), share)],
    ['rail-clipping', scaled(rail, share)],
    ['current-limit', scaled(current, share)],
    ['slew-limit', scaled(slew, shape)],
    ['crossover', scaled(crossover, shape)],
    ['heat', suspectHeat(question)],
  ];
}

function stronger(a: Suspicion, b: Suspicion): Suspicion {
  const [more, less] = a.weight >= b.weight ? [a, b] : [b, a];
  if (less.weight === 0) return more;
  return { weight: more.weight, evidence: [...more.evidence, ...less.evidence] };
}

const scaled = ({ weight, evidence }: Suspicion, factor: number): Suspicion =>
  suspicion(weight * factor, evidence);

function nothingFound(question: CauseQuestion): string {
  const { failing, low, threshold_percent = 1 } = question;
  if (failing.highestOrder < 3)
    return 'the third harmonic lies outside the band, so the shape of the wave cannot be seen';
  const distortion = formatQuantity(100 * failing.distortion, '%');
  const compression_dB = low ? -gainOver_dB(failing, low) : 0;
  const level =
    compression_dB > PLAIN_COMPRESSION_dB
      ? `the level is ${compression_dB.toFixed(2)} dB less than the gain at low level asks for`
      : 'the level is what the drive asks for';
  return limited(question) < 1
    ? `harmonics of ${distortion} against the ${threshold_percent} % that a maximum power stands for; ${level}`
    : `harmonics of ${distortion} do not have the shape of a known limit; ${level}`;
}
