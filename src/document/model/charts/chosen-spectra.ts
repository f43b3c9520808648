import { numberOf } from '../../../record/finding.js';
import type { Reading } from '../../../record/run-record.js';
import { formatQuantity } from '../../../units/format.js';
import { channelsOf, type StepReadings } from './step-readings.js';

/** A reading whose spectrum is worth a picture, and why. */
export interface ChosenSpectrum {
  readonly reading: Reading;
  /** `near 0.1 % THD+N`. */
  readonly why: string;
}

/** The low level lies this far below the high one: clear of clipping, and still above most noise. */
const LOW_SHARE = 0.01;

/**
 * Picks two spectra of a climb, from its weakest channel: the one nearest to where the strictest limit is reached (or the
 * highest power, when none was), and one 20 dB below it.
 */
export function chosenSpectra(climb: StepReadings): ChosenSpectrum[] {
  const limits = channelsOf(climb).map((channel) => ({ channel, ...limitOf(climb, channel) }));
  const { channel, power_W, percent } = limits.reduce((a, b) => (b.power_W < a.power_W ? b : a));
  const kept = climb.channels
    .get(channel)!
    .map(({ reading }) => reading)
    .filter((reading) => reading.spectrum !== null && reading.power_W > 0)
    .sort((a, b) => a.power_W - b.power_W);
  const highest = kept.at(-1);
  if (highest === undefined) return [];
  const high = percent === null ? highest : nearest(kept, power_W);
  const low = nearest(kept, high.power_W * LOW_SHARE);
  const why = percent === null ? 'at the highest power' : `near ${formatQuantity(percent, '%')} THD+N`;
  return [{ reading: high, why }, ...(low === high ? [] : [{ reading: low, why: 'at low level' }])];
}

/** Power at the strictest limit that a channel reaches; without one it is the strongest. */
function limitOf({ findings }: StepReadings, channel: number) {
  const reached = findings
    .filter(({ quantity, setting }) => quantity === 'max-power' && setting.channel === channel)
    .flatMap((one) => {
      const power_W = numberOf(one);
      const percent = one.terms.threshold_percent;
      return power_W === null || one.bound !== 'found' || percent === undefined ? [] : [{ power_W, percent }];
    })
    .sort((a, b) => a.percent - b.percent);
  return reached[0] ?? { power_W: Number.POSITIVE_INFINITY, percent: null };
}

const nearest = (readings: readonly Reading[], power_W: number): Reading =>
  readings.reduce((best, reading) =>
    Math.abs(Math.log(reading.power_W / power_W)) < Math.abs(Math.log(best.power_W / power_W))
      ? reading
      : best,
  );
