import type { DraftBasis, DraftCircumstances, DraftRecord } from '../calibration/draft-record.js';
import type { FloorPoint } from '../calibration/floor.js';
import type { ResponsePoint } from '../calibration/response.js';
import { budgetOf, weighed } from '../measure/budget.js';
import type { CalibrationFinding } from './finding.js';

/** Figures of a value: more than any meter on a bench tells. */
const FIGURES = 6;
/** Step of a response's levels: a ten-thousandth of a decibel. */
const RESPONSE_STEP_dB = 0.0001;
/** Linearity below this is rounding. */
const LEAST_LINEARITY_PERCENT = 1e-5;

/** A finding as a record to be written. @param circumstances notes and temperature are taken from the finding */
export function draftOf(
  found: CalibrationFinding,
  circumstances: Omit<DraftCircumstances, 'notes'>,
): DraftRecord {
  const about = {
    ...circumstances,
    temperature_C: found.temperature_C ?? circumstances.temperature_C,
    notes: found.notes.length > 0 ? found.notes.join('\n') : null,
  };
  const channel = found.channel!;
  switch (found.kind) {
    case 'floor':
      return {
        kind: 'floor',
        ...about,
        points: found.floor!.points.map(floorPoint),
        // A simulated interface may have no noise at all, and a record states none of 0 V.
        noise_V: found.floor!.noise_V > 0 ? rounded(found.floor!.noise_V, 4) : null,
      };
    case 'response':
      return { kind: 'response', ...about, channel, points: found.response!.map(responsePoint) };
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

function basisOf({ value, standing, linearity_percent }: CalibrationFinding): DraftBasis {
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

function floorPoint({ frequency_Hz, level_dB, thdn_percent }: FloorPoint): FloorPoint {
  return { frequency_Hz, level_dB: toStep(level_dB, 0.001), thdn_percent: rounded(thdn_percent, 4) };
}

/** Rounded to what any bench can tell; the uncertainty, which takes that rounding in, never down and never to nothing. */
function responsePoint({ frequency_Hz, level_dB, uncertainty_dB }: ResponsePoint): ResponsePoint {
  const rounding_dB = RESPONSE_STEP_dB / 2 / Math.sqrt(3);
  const up = toStep(Math.hypot(uncertainty_dB, rounding_dB) + RESPONSE_STEP_dB / 2, RESPONSE_STEP_dB);
  return { frequency_Hz, level_dB: toStep(level_dB, RESPONSE_STEP_dB), uncertainty_dB: up };
}

/** The nearest whole number of steps of a power of ten; never minus zero. */
function toStep(value: number, step: number): number {
  return Math.round(value / step) / Math.round(1 / step) + 0;
}

function rounded(value: number, figures: number): number {
  return Number(value.toPrecision(figures));
}
