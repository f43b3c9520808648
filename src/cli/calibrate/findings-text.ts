import { type CalibrationFinding, uncertaintyOf } from '../../calibrator/finding.js';
import { formatQuantity } from '../../units/format.js';
import type { RecordPlace } from './record-place.js';

/** A finding with the record that it was written to. */
export interface Written {
  readonly found: CalibrationFinding;
  readonly place: RecordPlace;
  readonly path: string;
}

/** What was found, in one line. */
export function findingText(found: CalibrationFinding): string {
  const { kind, channel, value, nominal_ohm, linearity_percent, load, floor, response } = found;
  const uncertainty = uncertaintyOf(found);
  const U = `U = ${figures(uncertainty.expanded_percent!)} % (k = ${figures(uncertainty.coverage_factor)})`;
  const straight =
    linearity_percent === null ? '' : `, linear within ${figures(Math.max(linearity_percent, 0.001))} %`;
  switch (kind) {
    case 'output':
    case 'input':
      return `${kind} ${channel}: ${six(value / Math.SQRT2)} V rms at full scale, ${U}${straight}`;
    case 'attenuator':
      return `attenuator ${channel}: divides by ${six(value)}, ${U}`;
    case 'load': {
      const { tempco, inductance } = load!;
      const more = [
        tempco &&
          `${(tempco.perKelvin * 1e6).toFixed(0)} ppm/K (U = ${(2e6 * tempco.standard_perKelvin).toFixed(0)} ppm/K)`,
        inductance && `${inductance.below ? 'below ' : ''}${formatQuantity(inductance.value_H, 'H')}`,
      ].filter(Boolean);
      return [`load of ${nominal_ohm} ohm, channel ${channel}: ${six(value)} ohm, ${U}`, ...more].join(', ');
    }
    case 'floor':
      return `floor: ${floor!.points.length} points, lowest THD+N ${formatQuantity(value, '%')}, noise at the input ${formatQuantity(floor!.noise_V, 'V')}`;
    default: {
      const points = response!;
      const [low, high] = [points[0]!, points.at(-1)!];
      const end = (point: typeof low) =>
        `${Number(point.level_dB.toFixed(3)).toFixed(3)} dB at ${formatQuantity(point.frequency_Hz, 'Hz')} (U = ${(2 * point.uncertainty_dB).toFixed(3)} dB)`;
      return `response ${channel}: ${end(low)}, ${end(high)}`;
    }
  }
}

/** What to put into the bench file, and where, so that it uses a new record; null when nothing need be put. */
export function benchLine(
  { kind, channel, nominal_ohm }: CalibrationFinding,
  { family, named }: RecordPlace,
): string | null {
  if (named) return null;
  const record = `record: ${family}`;
  switch (kind) {
    case 'output':
    case 'input':
      return `channel ${channel}:  ${kind}: {${record}}  (in place of full_scale)`;
    case 'attenuator':
      return `channel ${channel}:  attenuator: {${record}, rating: ...}  (in place of ratio)`;
    case 'load':
      return `channel ${channel}:  load: {nominal: ${nominal_ohm} ohm, ${record}, ...}  (in place of measured)`;
    case 'floor':
      return `top level:  floor: {${record}}`;
    default:
      return `channel ${channel}:  ${kind}: {${record}}`;
  }
}

/** A finding as scripts see it. */
export function findingDocument({ found, place, path }: Written): object {
  const { kind, channel, nominal_ohm, value } = found;
  const { expanded_percent, standard_percent, coverage_factor } = uncertaintyOf(found);
  const values: Record<string, object> = {
    output: { full_scale_Vpk: value },
    input: { full_scale_Vpk: value },
    attenuator: { ratio: value },
    load: { resistance_ohm: value, ...loadFields(found) },
    floor: { points: found.floor?.points, noise_V: found.floor?.noise_V },
    response: { points: found.response },
  };
  const certain =
    found.floor || found.response ? {} : { standard_percent, expanded_percent, coverage_factor };
  return {
    kind,
    channel,
    load_ohm: nominal_ohm,
    ...values[kind],
    ...certain,
    linearity_percent: found.linearity_percent,
    record: path,
    family: place.family,
    named_in_bench: place.named,
  };
}

function loadFields({ load, temperature_C }: CalibrationFinding): object {
  return {
    temperature_C,
    tempco_per_K: load?.tempco?.perKelvin ?? null,
    inductance_H: load?.inductance?.value_H ?? null,
    inductance_is_limit: load?.inductance?.below ?? null,
  };
}

function six(value: number): string {
  return `${Number(value.toPrecision(6))}`;
}

function figures(value: number): string {
  return `${Number(value.toPrecision(2))}`;
}
