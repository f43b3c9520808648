import type { Reading } from '../../record/run-record.js';
import { formatQuantity } from '../../units/format.js';
import type { Curve, CurveGroup } from './curves.js';

/** A reading whose spectrum is worth a picture, and why. */
export interface ChosenSpectrum {
  readonly reading: Reading;
  readonly label: string;
  /** `near 0.1 % THD+N`. */
  readonly why: string;
}

/** The low level lies this far below the high one: clear of clipping, and still above most noise. */
const LOW_SHARE = 0.01;

/**
 * Picks two spectra for every run of a climb, from its weakest channel: the one nearest to the crossing of
 * the lowest marked threshold (or the highest power, when nothing was crossed), and one 20 dB below it.
 */
export function chosenSpectra(group: CurveGroup): ChosenSpectrum[] {
  const runs = [...new Set(group.curves.map((curve) => curve.run))];
  return runs.flatMap((run) => {
    const curves = group.curves.filter((curve) => curve.run === run);
    const weakest = curves.reduce((worst, curve) =>
      markOf(curve).power_W < markOf(worst).power_W ? curve : worst,
    );
    return pickedFrom(weakest);
  });
}

function markOf({ results }: Curve): { readonly power_W: number; readonly percent: number | null } {
  const marks = results
    .filter((result) => result.kind === 'power-at-thdn')
    .sort((a, b) => a.threshold_percent - b.threshold_percent);
  const mark = marks.find((candidate) => candidate.power_W !== null);
  return { power_W: mark?.power_W ?? Number.POSITIVE_INFINITY, percent: mark?.threshold_percent ?? null };
}

function pickedFrom(curve: Curve): ChosenSpectrum[] {
  const kept = curve.readings.filter((reading) => reading.spectrum !== null && reading.power_W > 0);
  const highest = kept.at(-1);
  if (highest === undefined) return [];
  const { power_W, percent } = markOf(curve);
  const high = percent === null ? highest : nearest(kept, power_W);
  const low = nearest(kept, high.power_W * LOW_SHARE);
  const why = percent === null ? 'at the highest power' : `near ${formatQuantity(percent, '%')} THD+N`;
  const label = curve.label.charAt(0).toUpperCase() + curve.label.slice(1);
  const chosen = [{ reading: high, label, why }];
  return low === high ? chosen : [...chosen, { reading: low, label, why: 'at low level' }];
}

const nearest = (readings: readonly Reading[], power_W: number): Reading =>
  readings.reduce((best, reading) =>
    Math.abs(Math.log(reading.power_W / power_W)) < Math.abs(Math.log(best.power_W / power_W))
      ? reading
      : best,
  );
