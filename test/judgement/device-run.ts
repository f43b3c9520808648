import type { Point, Reading, RunRecord } from '../../src/record/run-record.js';
import { decibelsOfPower, powerRatio, voltageRatio } from '../../src/units/decibel.js';
import { invented } from '../document/fixture.js';
import type { Device } from '../reference/devices/device.js';

/** One channel of a played run. */
export interface PlayedChannel {
  readonly device: Device;
  /** Gain, dB, at 1 kHz and low level. */
  readonly gain_dB?: number;
}

export interface Played {
  readonly channels: readonly PlayedChannel[];
  /** Frequencies of a search each, in octaves or as given. */
  readonly frequencies_Hz?: readonly number[];
  readonly from_dBW?: number;
  readonly most_dBW?: number;
  /** Where the search ends, percent, once every channel is beyond. */
  readonly stop_percent?: number;
  readonly bench?: Partial<RunRecord['bench']>;
  readonly sequence?: string;
}

export const OCTAVES_Hz = [20, 40, 80, 160, 315, 630, 1000, 2000, 4000, 8000, 16_000, 20_000];

const TEMPLATE = invented();
const READING = TEMPLATE.readings[0]!;
const LOAD_ohm = 8;
/** Expanded uncertainty of every power, and the drive that gives 0 dBW at a gain of 26 dB. */
const SHARE = 0.005;

/**
 * Readings of devices as a run takes them: at each frequency in steps of 1 dB up to the stop, and by halving around the
 * crossing of 0.1 % and 1 % of every channel. Without results: nothing but what was read.
 */
export function playedRun(played: Played): RunRecord {
  const { channels, frequencies_Hz = [1000], bench = {}, sequence = 'asks: power' } = played;
  const points: Point[] = [];
  const readings: Reading[] = [];
  for (const nominal_Hz of frequencies_Hz)
    for (const drive_dBW of drivesOf(played, nominal_Hz)) {
      const number = points.length + 1;
      const step = `search-${nominal_Hz}`;
      points.push({
        ...{ number, step, stepKind: 'climb', nominal_Hz, frequency_Hz: nominal_Hz * 1.0003 },
        ...{ driven: channels.map((_, i) => i + 1), load_ohm: LOAD_ohm, mains_V: null, cell: '' },
        ...{ level_dB: drive_dBW - 60, asked_W: powerRatio(drive_dBW), at_s: number },
      });
      channels.forEach((channel, i) => {
        readings.push({
          ...READING,
          ...readingOf(channel, drive_dBW, nominal_Hz),
          point: number,
          step,
          channel: i + 1,
        });
      });
    }
  return {
    ...TEMPLATE,
    ...{ points, readings, results: [], events: [], probes: [], outcome: 'completed', reason: '' },
    bench: { ...TEMPLATE.bench, kind: 'audio', ...bench },
    sequence: { ...TEMPLATE.sequence, text: sequence },
  };
}

function readingOf({ device, gain_dB = 26 }: PlayedChannel, drive_dBW: number, frequency_Hz: number) {
  const driven_dBW = drive_dBW + gain_dB - 26;
  const { power_W, thdn_percent } = device.at(driven_dBW, frequency_Hz);
  const voltage_V = Math.sqrt(power_W * LOAD_ohm);
  const fundamental_V = voltage_V * Math.sqrt(1 - (thdn_percent / 100) ** 2);
  const input_V = Math.sqrt(powerRatio(drive_dBW) * LOAD_ohm) / voltageRatio(26);
  return {
    ...{ frequency_Hz: frequency_Hz * 1.0003, load_ohm: LOAD_ohm, load_measured_ohm: LOAD_ohm * 1.001 },
    ...{ power_W, uncertainty_W: SHARE * power_W, voltage_V, fundamental_V, noise_V: voltage_V * 1e-5 },
    ...{ thdn_percent, thd_percent: thdn_percent, thdn_uncertainty_percent: 0.02 * thdn_percent, flags: [] },
    gain_dB: 2 * (decibelsOfPower(fundamental_V / input_V) as number),
    band_Hz: [20, 80_000] as const,
  };
}

function drivesOf(played: Played, frequency_Hz: number): number[] {
  const { channels, from_dBW = -13, most_dBW = 24, stop_percent = 1 } = played;
  const read = (drive: number) =>
    channels.map((channel) => readingOf(channel, drive, frequency_Hz).thdn_percent);
  const coarse: number[] = [];
  for (let drive = from_dBW; drive <= most_dBW; drive += 1) {
    coarse.push(drive);
    const now = read(drive);
    const before = coarse.length > 1 ? read(drive - 1) : now;
    if (now.every((percent, i) => percent > stop_percent && percent > before[i]!)) break;
  }
  const fine = channels.flatMap((_, i) =>
    [0.1, 1].flatMap((limit) => {
      const keeps = (drive: number) => read(drive)[i]! <= limit;
      const low = coarse.findLastIndex((drive, at) => keeps(drive) && at < coarse.length - 1);
      if (low < 0 || keeps(coarse[low + 1]!)) return [];
      let [below, above] = [coarse[low]!, coarse[low + 1]!];
      const found: number[] = [];
      while (above - below > 0.02) {
        const middle = (below + above) / 2;
        found.push(middle);
        if (keeps(middle)) below = middle;
        else above = middle;
      }
      return found;
    }),
  );
  return [...new Set([...coarse, ...fine])].sort((a, b) => a - b);
}
