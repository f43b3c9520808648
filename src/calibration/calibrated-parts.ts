import { budgetOf, type Contribution, weighed } from '../measure/budget.js';
import {
  type CalibrationRecord,
  type ChannelChain,
  type Load,
  overdueOn,
  type RecordKind,
  type SurveyedBench,
} from './chain.js';
import { leastFloor } from './floor.js';
import { readRecord } from './record-file.js';

/** A part of a bench that a figure rests on, and what is known of it. */
export interface CalibratedPart {
  /** `shunt` is the whole current shunt: the shunt and its input. */
  readonly kind: RecordKind | 'clock';
  /** Null: of the whole bench. */
  readonly channel: number | null;
  /** Nominal; null for all that is no load. */
  readonly load_ohm: number | null;
  /** What gives the value; null: it stands in the bench file, or nowhere. */
  readonly record: CalibrationRecord | null;
  readonly overdue: boolean;
  /** U in percent of the value; null when nothing is stated, or when a percentage does not say it. */
  readonly expanded_percent: number | null;
  readonly coverage_factor: number | null;
  /** U of a response where it is widest, k = 2. */
  readonly expanded_dB: number | null;
  /** Half-widths within which a level, or the clock, is right, where that is what is stated. */
  readonly limits_dB: number | null;
  readonly limits_ppm: number | null;
  /** What the bench itself reads: least THD+N. */
  readonly thdn_percent: number | null;
}

const UNKNOWN = {
  channel: null,
  load_ohm: null,
  record: null,
  overdue: false,
  expanded_percent: null,
  coverage_factor: null,
  expanded_dB: null,
  limits_dB: null,
  limits_ppm: null,
  thdn_percent: null,
} as const;

/** Every part of a bench in the order of the signal, channel by channel; floor and clock at the end. */
export function calibratedParts(bench: Omit<SurveyedBench, 'rate_Hz' | 'assumedGain_dB'>): CalibratedPart[] {
  const { floor, clockLimits_ppm, kind } = bench;
  const parts: CalibratedPart[] = [
    ...bench.channels.flatMap((chain) => ofChannel(chain)),
    {
      ...UNKNOWN,
      kind: 'floor',
      record: bench.floorRecord ?? null,
      thdn_percent: floor && leastFloor(floor),
    },
    // A simulated interface has a perfect clock, and no file says so.
    ...(kind === 'simulated' ? [] : [{ ...UNKNOWN, kind: 'clock' as const, limits_ppm: clockLimits_ppm }]),
  ];
  return parts.map((part) => ({
    ...part,
    overdue: part.record !== null && overdueOn(part.record, bench.day),
  }));
}

function ofChannel(chain: ChannelChain): CalibratedPart[] {
  const { channel, current, response } = chain;
  const recordOf = (kind: RecordKind) => chain.records.find((record) => record.kind === kind) ?? null;
  const valued = (kind: RecordKind, stated: readonly Contribution[] | null): CalibratedPart => ({
    ...UNKNOWN,
    kind,
    channel,
    record: recordOf(kind),
    ...expandedOf(stated),
  });
  return [
    valued('output', chain.outputStated),
    ...chain.loads.map((load) => ({
      ...valued('load', load.stated),
      load_ohm: load.nominal_ohm,
      record: loadRecord(chain, load),
    })),
    ...(current ? [valued('shunt', current.stated)] : []),
    valued('attenuator', chain.attenuatorStated),
    valued('input', chain.inputStated),
    {
      ...UNKNOWN,
      kind: 'response',
      channel,
      record: recordOf('response'),
      expanded_dB: response && Math.max(...response.points.map(({ uncertainty_dB }) => 2 * uncertainty_dB)),
      limits_dB: chain.flatness_dB,
    },
  ];
}

function expandedOf(stated: readonly Contribution[] | null) {
  if (!stated) return { expanded_percent: null, coverage_factor: null };
  const components = weighed(stated, 1);
  const { expanded_percent, coverage_factor } = budgetOf({
    quantity: 'voltage',
    value: 1,
    unit: 'V',
    components,
  });
  return { expanded_percent, coverage_factor };
}

/** A channel may have several loads, each with a record of its own: the record says which it is of. */
function loadRecord({ records }: ChannelChain, { nominal_ohm }: Load): CalibrationRecord | null {
  const isOf = ({ kind, text, id }: CalibrationRecord) =>
    kind === 'load' && readRecord(text, id, id).load?.nominal === nominal_ohm;
  return records.find(isOf) ?? null;
}
