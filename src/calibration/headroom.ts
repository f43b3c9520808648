import { decibelsOfVoltage, powerRatio, voltageRatio } from '../units/decibel.js';
import { type ChannelChain, type Load, loadVoltsPerUnit, type SurveyedBench } from './chain.js';
import { type Floor, floorAt } from './floor.js';
import { powerUncertainty_percent } from './survey.js';

/** A unit as one expects it, before it has been measured. */
export interface ExpectedUnit {
  /** Power at the knee. */
  readonly power_W: number;
  /** Nominal. */
  readonly load_ohm: number;
}

/**
 * Where the converter should be at the knee: low enough for peaks and for a unit that gives more than it says, high
 * enough above its noise. Common practice, no source.
 */
export const AIM_dB = { low: -12, high: -1 } as const;

/** How far above the knee 1 % is taken to lie: more than any unit that clips hard needs. Common practice, no source. */
export const OVER_KNEE_dB = 0.5;

/** A reading must lie this far above what the bench reads by itself, or it says more of the bench than of the unit. */
const FLOOR_MARGIN_dB = 6;

/** The threshold that a bench must be able to see, percent THD+N: that of the power at the knee. */
export const MARK_percent = 0.1;

/** Steps of the R10 series of preferred numbers (ISO 3, from memory). */
const R10 = [1, 1.25, 1.6, 2, 2.5, 3.15, 4, 5, 6.3, 8] as const;

/** What a bench's own residue leaves to be seen at one frequency, at the asked power. */
export interface Visibility {
  readonly frequency_Hz: number;
  readonly floor_percent: number;
  /** Least THD+N that can be told from the floor. */
  readonly least_percent: number;
}

/** How one channel suits an expected unit. Levels are those of a sine, 0 dB being its digital full scale. */
export interface Headroom {
  readonly channel: number;
  readonly knee_Vrms: number;
  /** At 1 %, taken to lie `OVER_KNEE_dB` above the knee. */
  readonly top_W: number;
  readonly top_Vpk: number;
  readonly kneeLevel_dB: number;
  readonly topLevel_dB: number;
  readonly ratio: number;
  /** The ratios that keep the converter within `AIM_dB` at the knee; below 1 there is no such attenuator. */
  readonly ratioRange: readonly [number, number];
  /** The preferred ratio nearest to the present one that does so at the knee and at 1 %; null when none does. */
  readonly preferredRatio: number | null;
  readonly ratioFits: boolean;
  /** Whether input and attenuator take the volts at the top. */
  readonly inputReads: boolean;
  readonly attenuatorStands: boolean;
  /** How long the load stands the top: for good, for seconds, not at all. */
  readonly loadStands: 'always' | 'seconds' | 'never';
  /** Output volts that a unit of the assumed gain needs at the top, and the least gain that the full output suffices for. */
  readonly drive_Vrms: number;
  readonly drive_dB: number;
  readonly leastGain_dB: number;
  /** At 1 kHz first, then where the floor was measured and leaves less to be seen; empty when nobody stated a floor. */
  readonly visible: readonly Visibility[];
  /** Whether `MARK_percent` can be told at the knee, at 1 kHz; null when nobody stated a floor. */
  readonly seesMark: boolean | null;
  /** U of the asked power at 1 kHz; null when a part of the way states nothing. */
  readonly uncertainty_W: number | null;
}

/** How each channel of a bench that has the load suits an expected unit. */
export function headroom(bench: SurveyedBench, unit: ExpectedUnit): Headroom[] {
  return bench.channels.flatMap((chain) => {
    const load = chain.loads.find(({ nominal_ohm }) => nominal_ohm === unit.load_ohm);
    return load ? [headroomOf(bench, chain, load, unit.power_W)] : [];
  });
}

function headroomOf(bench: SurveyedBench, chain: ChannelChain, load: Load, power_W: number): Headroom {
  const knee_Vpk = Math.sqrt(2 * power_W * load.measured_ohm);
  const top_Vpk = knee_Vpk * voltageRatio(OVER_KNEE_dB);
  const top_W = power_W * powerRatio(OVER_KNEE_dB);
  const scale_V = loadVoltsPerUnit(chain);
  const kneeLevel_dB = decibelsOfVoltage(knee_Vpk / scale_V);
  const visible = bench.floor ? visibilities(bench.floor, kneeLevel_dB, bench.rate_Hz) : [];
  const warming_W = Math.min(power_W, load.rating_W);
  const uncertainty_percent = powerUncertainty_percent(chain, load, warming_W);
  return {
    channel: chain.channel,
    knee_Vrms: knee_Vpk / Math.SQRT2,
    top_W,
    top_Vpk,
    kneeLevel_dB,
    topLevel_dB: decibelsOfVoltage(top_Vpk / scale_V),
    ...ratios(chain, knee_Vpk, top_Vpk),
    inputReads: top_Vpk <= scale_V,
    attenuatorStands: top_Vpk <= chain.attenuatorRating_Vpk,
    loadStands: top_W <= load.rating_W ? 'always' : top_W <= load.shortRating_W ? 'seconds' : 'never',
    ...drive(chain, bench.assumedGain_dB, top_Vpk),
    visible,
    seesMark: seesMark(kneeLevel_dB, visible),
    uncertainty_W: uncertainty_percent === null ? null : (power_W * uncertainty_percent) / 100,
  };
}

function seesMark(level_dB: number, [middle]: readonly Visibility[]): boolean | null {
  if (level_dB > 0) return false;
  return middle ? middle.least_percent <= MARK_percent : null;
}

function ratios({ attenuator_ratio, inputFullScale_Vpk }: ChannelChain, knee_Vpk: number, top_Vpk: number) {
  const ratioAt = (peak_V: number, level_dB: number) =>
    peak_V / (inputFullScale_Vpk * voltageRatio(level_dB));
  const most = ratioAt(knee_Vpk, AIM_dB.low);
  const leastToTop = ratioAt(top_Vpk, AIM_dB.high);
  return {
    ratio: attenuator_ratio,
    ratioRange: [ratioAt(knee_Vpk, AIM_dB.high), most] as const,
    preferredRatio: nearestPreferred(attenuator_ratio, leastToTop, most),
    ratioFits: attenuator_ratio >= leastToTop && attenuator_ratio <= most,
  };
}

/** Of the R10 numbers between two limits, 1 and above, the one that is by its ratio nearest to a value. */
export function nearestPreferred(value: number, least: number, most: number): number | null {
  const candidates = [0, 1, 2, 3, 4, 5]
    .flatMap((decade) => R10.map((step) => Number(`${step}e${decade}`)))
    .filter((ratio) => ratio >= least && ratio <= most);
  const away = (ratio: number) => Math.abs(Math.log(ratio / value));
  return candidates.reduce<number | null>(
    (best, ratio) => (best === null || away(ratio) < away(best) ? ratio : best),
    null,
  );
}

function drive({ outputFullScale_Vpk }: ChannelChain, gain_dB: number, top_Vpk: number) {
  const drive_Vpk = top_Vpk / voltageRatio(gain_dB);
  return {
    drive_Vrms: drive_Vpk / Math.SQRT2,
    drive_dB: decibelsOfVoltage(drive_Vpk / outputFullScale_Vpk),
    leastGain_dB: decibelsOfVoltage(top_Vpk / outputFullScale_Vpk),
  };
}

function visibilities(floor: Floor, level_dB: number, rate_Hz: number): Visibility[] {
  const at = (frequency_Hz: number): Visibility => {
    const floor_percent = floorAt(floor, frequency_Hz, level_dB);
    return { frequency_Hz, floor_percent, least_percent: floor_percent * voltageRatio(FLOOR_MARGIN_dB) };
  };
  const middle = at(1000);
  if (floor.kind === 'stated') return [middle];
  const others = [...new Set(floor.points.map(({ frequency_Hz }) => frequency_Hz))]
    .filter((frequency_Hz) => frequency_Hz !== 1000 && frequency_Hz < rate_Hz / 2)
    .sort((a, b) => a - b)
    .map(at)
    .filter(({ least_percent }) => least_percent > middle.least_percent);
  return [middle, ...others];
}
