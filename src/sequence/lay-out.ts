import type { Band } from '../measure/analysis.js';
import type { Fault } from '../schema/document-error.js';
import { voltageRatio } from '../units/decibel.js';
import { formatQuantity } from '../units/format.js';
import type { BenchFacts, LoadedChannel } from './bench-facts.js';
import { type DrivenRule, drivenChannels } from './driven-channels.js';
import type { Placed } from './repeat-cells.js';
import type { EnergisedBase, WiredBase } from './step-base.js';
import type { SettingKeys } from './written-fields.js';
import type { Sequence } from './written-sequence.js';

/** A claim as far as levels are taken from it. */
export interface ClaimedPower {
  /** Continuous watts per channel; null when the claim does not tell them. */
  readonly power_W: number | null;
  /** Null when the claim states no load. */
  readonly load_ohm: number | null;
  /** Why there is no power, or what was assumed to get at it; empty when it is as claimed. */
  readonly note: string;
}

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

/** Where a step that needs loads is played. */
export interface SettledSetting {
  readonly base: Omit<WiredBase, 'kind' | 'wired' | 'taps'>;
  readonly channels: readonly LoadedChannel[];
}

type Setting = { load: number; driven: DrivenRule; mains: number; band: Band };

/** One step of a sequence where it meets the bench: what is written of it, and everything found wrong with it. */
export class StepLayout<Keys extends object = object> {
  readonly #faultsBefore: number;
  #setting: SettledSetting | null | undefined;

  constructor(
    readonly layout: Layout,
    readonly written: Placed<Keys>,
  ) {
    this.#faultsBefore = layout.faults.length;
  }

  get keys(): Partial<Keys> {
    return this.written.keys;
  }

  get bench(): BenchFacts {
    return this.layout.bench;
  }

  /** Whether anything about the step is wrong, as far as it has been looked at. */
  get isFaulty(): boolean {
    return this.written.spoilt.size > 0 || this.layout.faults.length > this.#faultsBefore;
  }

  /** Notes a fault at a key of the step, or where it takes its value from: the repeat around it, the header. */
  complain(key: string, what: string, mend: string): null {
    const { written, layout } = this;
    const inCell = (written.cell.places as Record<string, readonly PropertyKey[]>)[key];
    const inStep = (written.keys as Record<string, unknown>)[key] !== undefined;
    const inHeader = !inStep && (layout.sequence.header as Record<string, unknown>)[key] !== undefined;
    return this.complainAt(
      inCell ?? (inHeader ? [key] : inStep ? [...written.path, key] : written.path),
      what,
      mend,
    );
  }

  /** Notes a fault at a place of the file. */
  complainAt(path: readonly PropertyKey[], what: string, mend: string): null {
    this.layout.faults.push(this.layout.sequence.document.fault(path, what, mend));
    return null;
  }

  /** Load, driven channels, mains and band on this bench; null when any of it is wrong (and was noted). */
  get setting(): SettledSetting | null {
    if (this.#setting === undefined) this.#setting = settle(this);
    return this.#setting;
  }
}

/** Value of a setting: the cell's, else the step's own, else the header's; not known when it is spoilt. */
function settingOf<K extends keyof Setting>({ layout, written }: StepLayout<SettingKeys>, key: K) {
  const given = written.cell as Partial<Setting>;
  const own = (given[key] ?? written.keys[key]) as Setting[K] | undefined;
  const spoilt = written.spoilt.has(key) || (written.cell.spoilt as ReadonlySet<string>).has(key);
  if (spoilt || (own === undefined && layout.sequence.spoilt.has(key))) return { known: false as const };
  return { known: true as const, value: own ?? (layout.sequence.header[key] as Setting[K] | undefined) };
}

function settle(at: StepLayout<SettingKeys>): SettledSetting | null {
  const driven = settingOf(at, 'driven');
  const load = settingOf(at, 'load');
  const mains = settingOf(at, 'mains');
  const band = settingOf(at, 'band');
  const channels = driven.known ? presentChannels(at, driven.value ?? 'all') : null;
  if (load.known && load.value === undefined)
    at.complain('load', 'no load is given', "add 'load: 8 ohm' to the header or to the step");
  if (band.known && band.value) checkBand(at, band.value);
  const load_ohm = load.known ? load.value : undefined;
  const loaded = channels && load_ohm !== undefined ? withLoads(at, channels, load_ohm) : null;
  if (!channels || load_ohm === undefined || !loaded || !band.known || !mains.known) return null;
  const { id, cell } = at.written;
  return {
    base: {
      id,
      load_ohm,
      driven: channels,
      measured: channels,
      mains_V: mains.value ?? null,
      cell: cell.words,
      band: band.value ?? null,
    },
    channels: loaded,
  };
}

/** What lies above half the rate is in no capture: a figure said to hold up to there would hold for less. */
function checkBand(at: StepLayout, [, top_Hz]: Band): void {
  const { rate_Hz } = at.bench;
  if (top_Hz <= rate_Hz / 2) return;
  const what = `the measuring band reaches up to ${formatQuantity(top_Hz, 'Hz')}, beyond half the sample rate`;
  const rate = formatQuantity(rate_Hz, 'Hz');
  at.complain('band', what, `at ${rate} end it at ${formatQuantity(rate_Hz / 2, 'Hz')} or below`);
}

function presentChannels(at: StepLayout, rule: DrivenRule): readonly number[] | null {
  const present = at.bench.channels.map((chain) => chain.channel);
  const { driven, missing } = drivenChannels(rule, present);
  if (missing.length === 0) return driven;
  const has = present.length === 1 ? 'has one channel' : `has channels 1 to ${present.length}`;
  return at.complain('driven', `channel ${missing.join(', ')} is to be driven`, `the bench ${has}`);
}

function withLoads(at: StepLayout, channels: readonly number[], load_ohm: number): LoadedChannel[] | null {
  const found: LoadedChannel[] = [];
  const lacking: string[] = [];
  for (const chain of at.bench.channels.filter(({ channel }) => channels.includes(channel))) {
    const load = chain.loads.find((candidate) => candidate.nominal_ohm === load_ohm);
    if (load) found.push({ chain, load });
    else {
      const has = chain.loads.map(({ nominal_ohm }) => formatQuantity(nominal_ohm, 'ohm')).join(', ');
      lacking.push(`channel ${chain.channel} has ${has}`);
    }
  }
  if (lacking.length === 0) return found;
  const what = `the bench has no load of ${formatQuantity(load_ohm, 'ohm')} for every driven channel`;
  return at.complain('load', what, lacking.slice(0, 4).join('; '));
}

/** Warns when the interface could not drive a unit of the highest gain assumed to a power. */
export function warnIfOutOfReach(
  { layout, bench, written }: StepLayout,
  channels: readonly LoadedChannel[],
  power_W: number,
): void {
  const gain = voltageRatio(bench.assumedGain_dB);
  const short = channels.filter(
    ({ chain, load }) => chain.outputFullScale_Vpk * gain < Math.sqrt(2 * power_W * load.measured_ohm),
  );
  if (short.length === 0) return;
  layout.warnings.push(
    `${written.id}: even a unit with ${formatQuantity(bench.assumedGain_dB, 'dB')} of gain will not give ` +
      `${formatQuantity(power_W, 'W')} from the interface's full output on channel ${short.map(({ chain }) => chain.channel).join(', ')}`,
  );
}
