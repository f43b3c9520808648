import type { Point, Reading, RunRecord } from '../../src/record/run-record.js';
import { byLevel, type LevelSample } from '../../src/runner/search/crossing-bracket.js';
import { MOST_PEAK_CAPTURES, nextPeakLevel } from '../../src/runner/search/next-peak-level.js';
import type { Dice } from './dice.js';
import {
  between,
  type InventedUnit,
  inventUnit,
  type Shape,
  STOP_PERCENT,
  stopOf,
  truthOf,
} from './invented-unit.js';

/** A bench with errors that nobody knows, and the uncertainties that it states for them. */
interface Bench {
  /** Standard uncertainty of every power together, and of each reading by itself, as shares. */
  readonly systematic: number;
  readonly repeat: number;
  /** The error that this run has throughout, as a factor. */
  readonly factor: number;
  /** Standard uncertainty of THD+N as a share, and its error throughout. */
  readonly distortion: number;
  readonly distortion_factor: number;
}

export interface InventedRun {
  readonly record: RunRecord;
  readonly shape: Shape;
  /** The true maximum power at the limit, up to the stop: that of the weakest place. */
  readonly truth_W: number;
  readonly limit_percent: number;
  /** Expanded, of the true power. */
  readonly uncertainty_W: number;
}

const FROM_dBW = -13;
/** Octaves over the band for a claim over it, else 1 kHz alone. */
const OCTAVES_Hz = [20, 40, 80, 160, 315, 630, 1250, 2500, 5000, 10_000, 20_000];

export interface Wanted {
  readonly shape: Shape;
  readonly limit_percent: number;
  readonly band: boolean;
  /** Whether some readings are left out at random. */
  readonly missing: boolean;
  /** Without any error of the bench. */
  readonly exact?: boolean;
}

/** A unit and a bench, as drawn. */
export function drawUnit(dice: Dice, { shape, exact = false }: Pick<Wanted, 'shape' | 'exact'>) {
  const clip_W = between(dice, 5, 300);
  const bench = inventBench(dice, exact);
  return { clip_W, bench, unit: inventUnit(dice, shape, clip_W) };
}

/** The true maximum power of a unit at a limit, and where a climb from 50 mW up stops. */
export function truthFor(unit: InventedUnit, clip_W: number, limit_percent: number) {
  const stop_dBW = stopOf(unit, FROM_dBW, 10 * Math.log10(clip_W) + 3);
  return { stop_dBW, truth_W: truthOf(unit, limit_percent, FROM_dBW, stop_dBW) };
}

/** Invents a unit and a bench, and plays a climb (or one search at each octave) on them. */
export function inventRun(dice: Dice, wanted: Wanted): InventedRun {
  const { clip_W, bench, unit } = drawUnit(dice, wanted);
  const places = (wanted.band ? OCTAVES_Hz : [1000]).map((nominal_Hz) => ({
    nominal_Hz,
    unit: shifted(unit, wanted.band ? between(dice, 0.7, 1) : 1),
  }));
  const made = places.map(({ nominal_Hz, unit: own }) => {
    const { stop_dBW, truth_W } = truthFor(own, clip_W, wanted.limit_percent);
    return { nominal_Hz, drives: drivesOf(dice, own, stop_dBW, wanted), unit: own, truth_W };
  });
  const truth_W = Math.min(...made.map((one) => one.truth_W));
  const share = 2 * Math.hypot(bench.systematic, bench.repeat);
  return {
    record: recordOf(dice, bench, made),
    shape: wanted.shape,
    truth_W,
    limit_percent: wanted.limit_percent,
    uncertainty_W: share * truth_W,
  };
}

function inventBench(dice: Dice, exact: boolean): Bench {
  const [systematic, repeat] = [between(dice, 0.001, 0.01), between(dice, 0.0002, 0.002)];
  const distortion = between(dice, 0.003, 0.03);
  return exact
    ? { systematic: 1e-6, repeat: 0, factor: 1, distortion: 1e-6, distortion_factor: 1 }
    : {
        ...{ systematic, repeat, distortion },
        factor: 1 + systematic * dice.normal(),
        distortion_factor: 1 + distortion * dice.normal(),
      };
}

/** The same unit with less supply: all powers scaled. */
const shifted = ({ shape, at }: InventedUnit, share: number): InventedUnit => ({
  shape,
  at: (drive_dBW) => {
    const given = at(drive_dBW - 10 * Math.log10(share));
    return { ...given, power_W: given.power_W * share };
  },
});

/** Steps of 1 dB up to the stop, then around each crossing of the limit down to 0.05 dB, as a climb refines its marks. */
function drivesOf(
  dice: Dice,
  { at }: InventedUnit,
  stop_dBW: number,
  { limit_percent, missing }: Wanted,
): number[] {
  const coarse: number[] = [];
  for (let drive = FROM_dBW; drive < stop_dBW; drive += 1) coarse.push(drive);
  coarse.push(at(stop_dBW).percent > STOP_PERCENT ? stop_dBW + 0.05 : stop_dBW);
  const played = missing ? coarse.filter(() => dice.share() > 0.3) : coarse;
  const fine = played.slice(1).flatMap((high, i) => {
    let [below, above] = [played[i]!, high];
    const keeps = (drive: number) => at(drive).percent <= limit_percent;
    if (keeps(below) === keeps(above) || (missing && dice.share() < 0.2)) return [];
    const found: number[] = [];
    while (above - below > 0.05) {
      const middle = (below + above) / 2;
      found.push(middle);
      if (keeps(middle) === keeps(below)) below = middle;
      else above = middle;
    }
    return found;
  });
  return [...played, ...fine, ...(missing ? [] : aroundPeak(at, played, limit_percent))].sort(
    (a, b) => a - b,
  );
}

/** The captures that a climb spends on the highest output of a unit that no longer follows the drive. */
function aroundPeak(at: InventedUnit['at'], played: readonly number[], limit_percent: number): number[] {
  const sample = (asked_dBW: number): LevelSample => {
    const { power_W, percent } = at(asked_dBW);
    return { asked_dBW, readings: [{ channel: 1, power_W, thdn_percent: percent }] };
  };
  const found: number[] = [];
  for (let i = 0; i < MOST_PEAK_CAPTURES; i += 1) {
    const next = nextPeakLevel(byLevel([...played, ...found].map(sample)), limit_percent);
    if (next === null) break;
    found.push(next);
  }
  return found;
}

const LOAD_ohm = 8;
const GAIN_dB = 26;

function recordOf(
  dice: Dice,
  bench: Bench,
  places: readonly {
    readonly nominal_Hz: number;
    readonly unit: InventedUnit;
    readonly drives: readonly number[];
  }[],
): RunRecord {
  const points: Point[] = [];
  const readings: Reading[] = [];
  for (const { nominal_Hz, unit, drives } of places)
    for (const drive_dBW of drives) {
      const step = `search-${nominal_Hz}`;
      const number = points.length + 1;
      const { power_W: true_W, percent: true_percent, noise_percent, behind_dB } = unit.at(drive_dBW);
      const power_W = true_W * bench.factor * (1 + bench.repeat * dice.normal());
      const thdn_percent = true_percent * bench.distortion_factor;
      const voltage_V = Math.sqrt(power_W * LOAD_ohm);
      points.push({
        ...{ number, step, stepKind: 'climb', nominal_Hz, frequency_Hz: nominal_Hz * 1.0003 },
        ...{ driven: [1], load_ohm: LOAD_ohm, mains_V: null, cell: '', level_dB: drive_dBW - 40 },
        ...{ asked_W: 10 ** (drive_dBW / 10), at_s: number },
      });
      readings.push({
        ...{ point: number, step, channel: 1, frequency_Hz: nominal_Hz * 1.0003, load_ohm: LOAD_ohm },
        ...{ load_measured_ohm: LOAD_ohm * 1.001, power_W, voltage_V, fundamental_V: voltage_V },
        uncertainty_W: 2 * Math.hypot(bench.systematic, bench.repeat) * power_W,
        ...{ voltage_uncertainty_V: null, current_A: null, load_seen_ohm: null },
        ...{
          noise_V: (voltage_V * noise_percent) / 100,
          dc_V: 0,
          peak_V: voltage_V * 1.41,
          crest_factor: 1.41,
        },
        ...{ thd_percent: thdn_percent, thdr_percent: thdn_percent, thdn_percent },
        thdn_uncertainty_percent: 2 * bench.distortion * thdn_percent,
        ...{ sinad_dB: -20 * Math.log10(thdn_percent / 100), harmonics: [], harmonics_in_band: 9 },
        ...{ band_Hz: [20, 80_000], gain_dB: GAIN_dB - behind_dB, method: 'coherent', flags: [], gaps: [] },
        ...{ capture: null, spectrum: null },
      });
    }
  return { ...EMPTY, points, readings };
}

/** A run in which nothing was measured yet. */
const EMPTY: RunRecord = {
  ...{
    run: 1,
    outcome: 'completed',
    reason: '',
    started: '2031-01-01T00:00:00Z',
    ended: '2031-01-01T01:00:00Z',
  },
  ...{ version: 'invented', unit: { label: 'invented' } },
  bench: { name: 'invented', kind: 'audio', rate_Hz: 192_000, text: '', sha256: '' },
  sequence: { name: 'invented', text: '', sha256: '' },
  ...{ calibration: [], checklist: [], claim: null, permit: null, sessions: [], probes: [] },
  ...{ points: [], readings: [], findings: [], events: [] },
};
