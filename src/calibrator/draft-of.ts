import type { DraftBasis, DraftCircumstances, DraftRecord } from '../calibration/draft-record.js';
import { budgetOf, weighed } from '../measure/budget.js';
import type { Finding } from './finding.js';

/** Figures of a value: more than any meter has. */
const FIGURES = 8;
/** Linearity below this is rounding. */
const LEAST_LINEARITY_PERCENT = 1e-5;

/** A finding as a record to be written. @param circumstances notes and temperature are taken from the finding */
export function draftOf(found: Finding, circumstances: Omit<DraftCircumstances, 'notes'>): DraftRecord {
  const about = {
    ...circumstances,
    temperature_C: found.temperature_C ?? circumstances.temperature_C,
    notes: found.notes.length > 0 ? found.notes.join('\n') : null,
  };
  const channel = found.channel!;
  switch (found.kind) {
    case 'floor':
      return { kind: 'floor', ...about, points: found.floor!.points, noise_V: found.floor!.noise_V };
    case 'response':
      return { kind: 'response', ...about, channel, points: found.response! };
    case 'load':
      return {
        kind: 'load',
        ...about,
        ...basisOf(found),
        channel,
        nominal_ohm: found.nominal_ohm!,
        value: rounded(found.value, FIGURES),
        tempco_per_K: found.load!.tempco && rounded(found.load!.tempco.perKelvin, 3),
        heating_K_per_W: null,
        warmingLimits: null,
        inductance_H:
          found.load!.inductance?.below === false ? rounded(found.load!.inductance.value_H, 3) : null,
      };
    default:
      return { kind: found.kind, ...about, ...basisOf(found), channel, value: rounded(found.value, FIGURES) };
  }
}

function basisOf({ value, standing, linearity_percent }: Finding): DraftBasis {
  const budget = budgetOf({ quantity: 'voltage', value, unit: 'V', components: weighed(standing, 1) });
  const linear = linearity_percent !== null && linearity_percent >= LEAST_LINEARITY_PERCENT;
  return {
    uncertainty: {
      standard_percent: rounded(budget.standard_percent!, 4),
      freedom:
        budget.freedom === null || budget.freedom > 1000 ? null : rounded(Math.max(1, budget.freedom), 3),
    },
    linearityLimits_percent: linear ? rounded(linearity_percent, 3) : null,
    stabilityLimits_percent: null,
  };
}

function rounded(value: number, figures: number): number {
  return Number(value.toPrecision(figures));
}
