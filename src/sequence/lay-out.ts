import type { Band } from '../measure/analysis.js';
import { usableTop_Hz } from '../measure/default-band.js';
import type { Fault } from '../schema/document-error.js';
import { type CoherentTone, coherentTone } from '../signal/coherent-tone.js';
import { voltageRatio } from '../units/decibel.js';
import { formatQuantity } from '../units/format.js';
import type { BenchFacts, LoadedChannel } from './bench-facts.js';
import { type DrivenRule, drivenChannels } from './driven-channels.js';
import type { Placed } from './repeat-cells.js';
import type { EnergisedBase } from './step-base.js';
import type { SettingKeys } from './written-fields.js';
import type { Sequence } from './written-sequence.js';

/** A step that has been laid out, and that levels of later steps may refer to. */
export interface MarkingStep extends EnergisedBase {
  /** THD+N at which it finds powers. */
  readonly marks_percent: readonly number[];
}

/** Where a sequence meets a bench: what both say, and everything found wrong so far. */
export interface Layout {
  readonly sequence: Sequence;
  readonly bench: BenchFacts;
  readonly faults: Fault[];
  readonly warnings: string[];
  /** Climbs laid out so far, by id and by the other ids that come to the same; null for one with faults of its own. */
  readonly climbs: Map<string, MarkingStep | null>;
  /** What the maker claims; empty when nobody said. */
  readonly claims: readonly ClaimedPower[];
}

/** The part that all steps that need loads share. */
export interface SettledSetting {
  readonly load_ohm: number;
  readonly driven: readonly number[];
  readonly measured: readonly number[];
  readonly mains_V: number | null;
  readonly cell: string;
  readonly band: Band | null;
  readonly channels: readonly LoadedChannel[];
}

/** Notes a fault at a key of a step, or where the step takes its value from: the repeat around it, the header. */
export function complain(layout: Layout, step: Placed, key: string, what: string, mend: string): void {
  const inCell = (step.cell.places as Record<string, readonly PropertyKey[]>)[key];
  const inStep = (step.keys as Record<string, unknown>)[key] !== undefined;
  const inHeader = !inStep && (layout.sequence.header as Record<string, unknown>)[key] !== undefined;
  const path = inCell ?? (inHeader ? [key] : inStep ? [...step.path, key] : step.path);
  layout.faults.push(layout.sequence.document.fault(path, what, mend));
}

type Setting = { load: number; driven: DrivenRule; mains: number; band: Band };

/** Value of a setting: the cell's, else the step's own, else the header's; not known when it is spoilt. */
function settingOf<K extends keyof Setting>(layout: Layout, step: Placed<SettingKeys>, key: K) {
  const given = step.cell as Partial<Setting>;
  const own = (given[key] ?? step.keys[key]) as Setting[K] | undefined;
  const spoilt = step.spoilt.has(key) || (step.cell.spoilt as ReadonlySet<string>).has(key);
  if (spoilt || (own === undefined && layout.sequence.spoilt.has(key))) return { known: false as const };
  return { known: true as const, value: own ?? (layout.sequence.header[key] as Setting[K] | undefined) };
}

/** Load, driven channels, mains and band of a step on this bench; null when any of it is wrong (and was noted). */
export function settle(layout: Layout, step: Placed<SettingKeys>): SettledSetting | null {
  const driven = settingOf(layout, step, 'driven');
  const load = settingOf(layout, step, 'load');
  const mains = settingOf(layout, step, 'mains');
  const band = settingOf(layout, step, 'band');
  const channels = driven.known ? presentChannels(layout, step, driven.value ?? 'all') : null;
  if (load.known && load.value === undefined)
    complain(layout, step, 'load', 'no load is given', "add 'load: 8 ohm' to the header or to the step");
  if (band.known && band.value) checkBand(layout, step, band.value);
  const load_ohm = load.known ? load.value : undefined;
  const loaded = channels && load_ohm !== undefined ? withLoads(layout, step, channels, load_ohm) : null;
  if (!channels || load_ohm === undefined || !loaded || !band.known || !mains.known) return null;
  return {
    load_ohm,
    driven: channels,
    measured: channels,
    mains_V: mains.value ?? null,
    cell: step.cell.words,
    band: band.value ?? null,
    channels: loaded,
  };
}

/** What lies above half the rate is in no capture: a figure said to hold up to there would hold for less. */
function checkBand(layout: Layout, step: Placed<SettingKeys>, [, top_Hz]: Band): void {
  const { rate_Hz } = layout.bench;
  if (top_Hz <= rate_Hz / 2) return;
  const what = `the measuring band reaches up to ${formatQuantity(top_Hz, 'Hz')}, beyond half the sample rate`;
  const rate = formatQuantity(rate_Hz, 'Hz');
  complain(layout, step, 'band', what, `at ${rate} end it at ${formatQuantity(rate_Hz / 2, 'Hz')} or below`);
}

function presentChannels(
  layout: Layout,
  step: Placed<SettingKeys>,
  rule: DrivenRule,
): readonly number[] | null {
  const present = layout.bench.channels.map((chain) => chain.channel);
  const { driven, missing } = drivenChannels(rule, present);
  if (missing.length === 0) return driven;
  const has = present.length === 1 ? 'has one channel' : `has channels 1 to ${present.length}`;
  complain(layout, step, 'driven', `channel ${missing.join(', ')} is to be driven`, `the bench ${has}`);
  return null;
}

function withLoads(
  layout: Layout,
  step: Placed<SettingKeys>,
  channels: readonly number[],
  load_ohm: number,
): LoadedChannel[] | null {
  const found: LoadedChannel[] = [];
  const lacking: string[] = [];
  for (const chain of layout.bench.channels.filter(({ channel }) => channels.includes(channel))) {
    const load = chain.loads.find((candidate) => candidate.nominal_ohm === load_ohm);
    if (load) found.push({ chain, load });
    else {
      const has = chain.loads.map(({ nominal_ohm }) => formatQuantity(nominal_ohm, 'ohm')).join(', ');
      lacking.push(`channel ${chain.channel} has ${has}`);
    }
  }
  if (lacking.length === 0) return found;
  const what = `the bench has no load of ${formatQuantity(load_ohm, 'ohm')} for every driven channel`;
  complain(layout, step, 'load', what, lacking.slice(0, 4).join('; '));
  return null;
}

/** So that 20 kHz at 44.1 kHz, the very limit, does not fail by the last digit. */
const ROUNDING = 1 + 1e-9;

/** A limit in hertz, printed so that what is printed still lies within it. */
const wholly = (limit_Hz: number) => formatQuantity(Math.floor((limit_Hz * ROUNDING) / 10) * 10, 'Hz');

/**
 * The tone for a frequency, or null when it cannot be played or lies outside the band of the step.
 * @param path where the frequency stands in the file
 */
export function toneFor(
  layout: Layout,
  path: readonly PropertyKey[],
  asked: { nominal_Hz: number; edge?: 'low' | 'high'; band: Band | null },
): CoherentTone | null {
  const { rate_Hz } = layout.bench;
  const { nominal_Hz, edge, band } = asked;
  const note = (what: string, mend: string) => {
    layout.faults.push(layout.sequence.document.fault(path, what, mend));
    return null;
  };
  const frequency = formatQuantity(nominal_Hz, 'Hz');
  const top_Hz = usableTop_Hz(rate_Hz);
  if (nominal_Hz > top_Hz * ROUNDING)
    return note(
      `${frequency} is ${nominal_Hz < rate_Hz / 2 ? 'too near' : 'not below'} half the sample rate`,
      `at ${formatQuantity(rate_Hz, 'Hz')} stay at or below ${wholly(top_Hz)}, or raise the bench's rate`,
    );
  if (band && (nominal_Hz < band[0] || nominal_Hz > band[1]))
    return note(
      `${frequency} lies outside the measuring band`,
      `the band is ${formatQuantity(band[0], 'Hz')} to ${formatQuantity(band[1], 'Hz')}`,
    );
  return coherentTone(edge ? { nominal_Hz, rate_Hz, edge } : { nominal_Hz, rate_Hz });
}

/** Warns when the interface could not drive a unit of the highest gain assumed to a power. */
export function warnIfOutOfReach(
  layout: Layout,
  id: string,
  channels: readonly LoadedChannel[],
  power_W: number,
): void {
  const gain = voltageRatio(layout.bench.assumedGain_dB);
  const short = channels.filter(
    ({ chain, load }) => chain.outputFullScale_Vpk * gain < Math.sqrt(2 * power_W * load.measured_ohm),
  );
  if (short.length === 0) return;
  layout.warnings.push(
    `${id}: even a unit with ${formatQuantity(layout.bench.assumedGain_dB, 'dB')} of gain will not give ` +
      `${formatQuantity(power_W, 'W')} from the interface's full output on channel ${short.map(({ chain }) => chain.channel).join(', ')}`,
  );
}

/** A claim as far as levels are taken from it. */
export interface ClaimedPower {
  /** Continuous watts per channel; null when the claim does not tell them. */
  readonly power_W: number | null;
  /** Null when the claim states no load. */
  readonly load_ohm: number | null;
  /** Why there is no power, or what was assumed to get at it; empty when it is as claimed. */
  readonly note: string;
}
