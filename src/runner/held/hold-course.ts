import { type ChannelChain, loadVoltsPerUnit } from '../../calibration/chain.js';
import { envelopeOf } from '../../measure/cause/envelope.js';
import type { MomentLevel } from '../../measure/cause/question.js';
import type { FlagCode } from '../../measure/flags.js';
import { levelOf } from '../../measure/level.js';
import { quickReadings } from '../../measure/settled.js';
import type { Finding, Statistic } from '../../record/finding.js';
import type { QuantityName } from '../../record/quantities.js';
import type { Remark } from '../../record/reasons.js';
import type { Reading } from '../../record/run-record.js';
import type { HeldStep } from '../../sequence/lay-out-held.js';
import type { CoherentTone } from '../../signal/coherent-tone.js';
import { decibelsOfPower, decibelsOfVoltage } from '../../units/decibel.js';
import { findingOf, sineOf } from '../findings/finding-of.js';

/** What a quick look at a record tells, in digital units: a small part of what a full analysis costs. */
export interface QuickHoldReading {
  /** In the default band, as a reading's. */
  readonly rms: number;
  readonly thdn_percent: number;
  readonly dc: number;
  /** Least level of any stretch of 10 ms (or a cycle) of the record, dB below its median. */
  readonly dip_dB: number;
}

/** A silent stretch has no level in dB: it counts as this far down. */
const DEEPEST_dB = 120;

/** Looks quickly at one record of each channel. */
export function quickHoldReadings(records: readonly Float64Array[], tone: CoherentTone): QuickHoldReading[] {
  const quicks = quickReadings(records, tone);
  return records.map((record, i) => {
    const { fundamental_rms, residue_rms } = quicks[i]!;
    const rms = Math.hypot(fundamental_rms, residue_rms);
    const { least } = envelopeOf(record, tone.cycles / tone.frames, tone.rate_Hz);
    return {
      rms,
      thdn_percent: rms > 0 ? (100 * residue_rms) / rms : 100,
      dc: levelOf(record).dc,
      dip_dB: least > 0 ? Math.min(DEEPEST_dB, Math.max(0, -decibelsOfVoltage(least))) : DEEPEST_dB,
    };
  });
}

/** A record that shows nothing worse by more than this is as good as those before. */
const WEAKER_dB = 0.05;
const DEEPER_dB = 0.1;
const DIRTIER = 1.1;
const MORE_DC = 1.1;
const LEAST_MORE_DC_V = 0.01;

/** The worst that a channel has shown. */
interface Worst {
  least_W: number;
  dip_dB: number;
  most_thdn_percent: number;
  most_dc_V: number;
}

/** Moments that are remembered; of a longer hold every second, fourth… of them. */
const MOST_MOMENTS = 512;
/** The first of them, in which supplies settle, are all kept. */
const FIRST_MOMENTS = 16;

/** How one channel stood over a hold: a few figures, however long it lasts. */
export class HoldCourse {
  private first: Reading | null = null;
  private last_W = 0;
  /** Watts for a squared rms of 1: a full reading says what a capture means. */
  private watts = 0;
  private worst: Worst = { least_W: Number.POSITIVE_INFINITY, dip_dB: 0, most_thdn_percent: 0, most_dc_V: 0 };
  /** The same of the points that were kept: what the next must be worse than. */
  private kept: Worst = { ...this.worst };
  private readonly seen_ohm: number[] = [];
  /** Numbers and flags of the points that were kept. */
  private readonly points: number[] = [];
  private readonly flags = new Set<FlagCode>();
  /** Expanded uncertainty of the power, as a share of it, by the last full reading. */
  private share: number | null = null;
  private moments: MomentLevel[] = [];
  private every = 1;
  private quicks = 0;

  /** @param bandIsDefault whether a capture reads THD+N in the band of the step */
  constructor(
    private readonly chain: ChannelChain,
    private readonly bandIsDefault: boolean,
  ) {}

  /** Watts that a record gives, by the last full reading. */
  powerOf({ rms }: QuickHoldReading): number {
    return this.watts * rms ** 2;
  }

  /** Whether a record is worse in any respect than every point kept so far. */
  isWorse(quick: QuickHoldReading): boolean {
    const { least_W, dip_dB, most_thdn_percent, most_dc_V } = this.kept;
    const dc_V = this.voltsOf(quick);
    return (
      decibelsOfPower(this.powerOf(quick) / least_W) < -WEAKER_dB ||
      quick.dip_dB > dip_dB + DEEPER_dB ||
      quick.thdn_percent > DIRTIER * most_thdn_percent ||
      dc_V > Math.max(MORE_DC * most_dc_V, most_dc_V + LEAST_MORE_DC_V)
    );
  }

  /** Takes a record that was only looked at. */
  takeQuick(quick: QuickHoldReading): void {
    this.last_W = this.powerOf(quick);
    const thdn_percent = this.bandIsDefault ? quick.thdn_percent : 0;
    this.worst = worse(this.worst, this.figures(quick, this.last_W, thdn_percent));
  }

  /** Takes a record that was kept as a point, too. */
  keep(quick: QuickHoldReading, reading: Reading): void {
    this.first ??= reading;
    this.points.push(reading.point);
    for (const flag of reading.flags) this.flags.add(flag);
    this.share = reading.uncertainty_W === null ? null : reading.uncertainty_W / reading.power_W;
    this.watts = quick.rms > 0 ? reading.power_W / quick.rms ** 2 : 0;
    this.last_W = reading.power_W;
    if (reading.load_seen_ohm !== null) this.rememberOhms(reading.load_seen_ohm);
    this.worst = worse(this.worst, this.figures(quick, reading.power_W, reading.thdn_percent));
    // Held against quick readings, not against the full reading: the two differ a little in what they count as noise.
    this.kept = worse(this.kept, this.figures(quick, reading.power_W, quick.thdn_percent));
  }

  /** Remembers the level of the tone at a moment of the hold, in the channel's own digital unit. */
  remember(at_s: number, { rms, thdn_percent }: QuickHoldReading): void {
    this.quicks += 1;
    if (this.moments.length >= FIRST_MOMENTS && this.quicks % this.every !== 0) return;
    const share = Math.min(1, thdn_percent / 100);
    this.moments.push({
      at_s,
      fundamental_V: rms * Math.sqrt(1 - share ** 2) * loadVoltsPerUnit(this.chain),
    });
    if (this.moments.length < MOST_MOMENTS) return;
    this.every *= 2;
    this.moments = this.moments.filter((_, i) => i < FIRST_MOMENTS || i % 2 === 0);
  }

  /** The level of the tone from the first record on. */
  get overTime(): readonly MomentLevel[] {
    return this.moments;
  }

  /** By how much the last record, or the least, lies below the first. */
  get fall_dB(): number {
    const first_W = this.first?.power_W ?? 0;
    return first_W > 0 ? decibelsOfPower(first_W / Math.min(this.last_W, this.worst.least_W)) : 0;
  }

  /** How the level stood, as findings. @param remarks what belongs to the whole of them */
  findingsOf(step: HeldStep, seconds: number, remarks: readonly Remark[]): Finding[] {
    const first = this.first!;
    const base = {
      stimulus: sineOf(step.tone),
      terms: { seconds, band_Hz: first.band_Hz },
      flags: [...this.flags],
    };
    const figure = (
      quantity: QuantityName,
      statistic: Statistic,
      value: number,
      more: Partial<Finding> = {},
    ) =>
      findingOf(step, this.chain.channel, {
        quantity,
        statistic,
        value,
        ...base,
        points: this.points,
        ...more,
      });
    const { least_W, dip_dB, most_thdn_percent, most_dc_V } = this.worst;
    const doubt = (power_W: number) => ({ uncertainty: this.share === null ? null : this.share * power_W });
    return [
      figure('power', 'first', first.power_W, {
        uncertainty: first.uncertainty_W,
        points: [first.point],
        remarks: [...this.ohms(), ...remarks],
      }),
      figure('power', 'last', this.last_W, doubt(this.last_W)),
      figure('power', 'minimum', least_W, doubt(least_W)),
      figure('dip', 'maximum', dip_dB),
      figure('thdn', 'maximum', most_thdn_percent),
      figure('dc', 'maximum', most_dc_V),
    ];
  }

  private figures({ dip_dB, ...quick }: QuickHoldReading, power_W: number, thdn_percent: number): Worst {
    return { least_W: power_W, dip_dB, most_thdn_percent: thdn_percent, most_dc_V: this.voltsOf(quick) };
  }

  private voltsOf({ dc }: Pick<QuickHoldReading, 'dc'>): number {
    return Math.abs(dc) * loadVoltsPerUnit(this.chain);
  }

  private rememberOhms(ohm: number): void {
    this.seen_ohm[0] = Math.min(this.seen_ohm[0] ?? ohm, ohm);
    this.seen_ohm[1] = Math.max(this.seen_ohm[1] ?? ohm, ohm);
  }

  private ohms(): Remark[] {
    const [low_ohm, high_ohm] = this.seen_ohm;
    return low_ohm === undefined ? [] : [{ code: 'load-seen', low_ohm, high_ohm: high_ohm! }];
  }
}

function worse(a: Worst, b: Worst): Worst {
  return {
    least_W: Math.min(a.least_W, b.least_W),
    dip_dB: Math.max(a.dip_dB, b.dip_dB),
    most_thdn_percent: Math.max(a.most_thdn_percent, b.most_thdn_percent),
    most_dc_V: Math.max(a.most_dc_V, b.most_dc_V),
  };
}
