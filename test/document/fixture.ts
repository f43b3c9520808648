import type { Harmonic } from '../../src/measure/analysis.js';
import type { FlagCode } from '../../src/measure/flags.js';
import { findingsOfResults } from '../../src/record/findings-of-results.js';
import type { BandResult, KneeResult, PowerAtThdn, Result } from '../../src/record/old-results.js';
import type { DrawnSpectrum, Point, Reading, RunRecord } from '../../src/record/run-record.js';

/** What a test may want to vary about the invented run. */
export interface FixtureOptions {
  readonly run?: number;
  readonly channels?: number;
  readonly label?: string;
  readonly note?: string;
  readonly benchName?: string;
  readonly uncertainty?: boolean;
  /** Points of the climb. */
  readonly climbPoints?: number;
  readonly load_ohm?: number;
}

const LOAD_SHARE_MEASURED = 0.9962;
const NOISE_V = 0.42e-3;
const PLATEAU = 21e-6;
const BAND = [20, 20_000] as const;
/** R10 preferred frequencies from 20 Hz to 20 kHz (ISO 266, base 10). */
const R10_Hz = Array.from({ length: 31 }, (_, i) => 10 ** (1.3 + i / 10));

/** Power at which the invented unit clips: the second channel a little earlier, and the bass earlier still. */
function clip_W(channel: number, frequency_Hz: number, load_ohm: number): number {
  const sag = 1 / (1 + (16 / frequency_Hz) ** 2);
  return (96 - 1.3 * channel) * (8 / load_ohm) ** 0.83 * sag;
}

/** Noise falling with level, a plateau of low-order harmonics, and clipping that sets in steeply. */
function model(channel: number, frequency_Hz: number, load_ohm: number, power_W: number) {
  const voltage_V = Math.sqrt(power_W * load_ohm * LOAD_SHARE_MEASURED);
  const over = power_W / clip_W(channel, frequency_Hz, load_ohm);
  const clipping = 0.0105 * over ** 38;
  const treble = 1 + (frequency_Hz / 9000) ** 1.5;
  const harmonics = PLATEAU * (1 + 0.12 * channel) * treble * (1 + over ** 2) + clipping;
  const noise = (NOISE_V * (1 + 0.08 * channel)) / voltage_V;
  return { voltage_V, noise, harmonics, thdn: Math.hypot(noise, harmonics) / Math.hypot(1, harmonics) };
}

function harmonicsOf(frequency_Hz: number, fundamental_V: number, ratio: number): Harmonic[] {
  const orders = Array.from({ length: 19 }, (_, i) => i + 2).filter(
    (order) => order * frequency_Hz <= BAND[1],
  );
  const shares = orders.map((order) => (order % 2 === 0 ? 0.35 : 1) / order ** 1.4);
  const norm = Math.hypot(...shares);
  return orders.map((order, i) => ({
    order,
    frequency_Hz: order * frequency_Hz,
    rms: (fundamental_V * ratio * shares[i]!) / norm,
  }));
}

/** A thinned spectrum: noise floor, mains hum, and the harmonics as single bands. */
function spectrumOf(
  frequency_Hz: number,
  harmonics: readonly Harmonic[],
  fundamental_V: number,
  noise: number,
): DrawnSpectrum {
  const frequency = Array.from({ length: 400 }, (_, i) => 10 * 10 ** ((i * 3.4) / 399));
  const floor_dB = 20 * Math.log10(noise) - 26;
  const level_dB = frequency.map((f, i) => floor_dB + 3 * Math.sin(i * 12.9898) + 1.2 * Math.log10(f));
  const raise = (at_Hz: number, dB: number) => {
    const i = Math.round((Math.log10(at_Hz / 10) / 3.4) * 399);
    if (i >= 0 && i < 400) level_dB[i] = Math.max(level_dB[i]!, dB);
  };
  raise(frequency_Hz, 0);
  for (const hum_Hz of [50, 100, 150]) raise(hum_Hz, floor_dB + 14);
  for (const { frequency_Hz: at, rms } of harmonics) raise(at, 20 * Math.log10(rms / fundamental_V));
  return { frequency_Hz: frequency, level_dB };
}

interface Setting {
  readonly point: Point;
  readonly channel: number;
  readonly power_W: number;
  readonly uncertain: boolean;
  readonly extra: readonly FlagCode[];
  readonly drawn: boolean;
}

function readingOf({ point, channel, power_W, uncertain, extra, drawn }: Setting): Reading {
  const { voltage_V, noise, harmonics, thdn } = model(channel, point.frequency_Hz, point.load_ohm, power_W);
  const parts = harmonicsOf(point.frequency_Hz, voltage_V, harmonics);
  const inBand = parts.length;
  return {
    point: point.number,
    step: point.step,
    channel,
    frequency_Hz: point.frequency_Hz,
    load_ohm: point.load_ohm,
    load_measured_ohm: point.load_ohm * LOAD_SHARE_MEASURED,
    power_W,
    uncertainty_W: uncertain ? power_W * 0.0082 : null,
    voltage_uncertainty_V: null,
    current_A: null,
    load_seen_ohm: null,
    thdn_uncertainty_percent: null,
    voltage_V,
    fundamental_V: voltage_V * Math.sqrt(1 - thdn ** 2),
    noise_V: voltage_V * noise,
    dc_V: 0.0021 * channel,
    peak_V: voltage_V * 1.41,
    crest_factor: 1.41,
    thd_percent: inBand > 0 ? 100 * harmonics : null,
    thdr_percent: inBand > 0 ? (100 * harmonics) / Math.hypot(1, harmonics) : null,
    thdn_percent: 100 * thdn,
    sinad_dB: -20 * Math.log10(thdn),
    harmonics: parts,
    harmonics_in_band: inBand,
    band_Hz: BAND,
    gain_dB: 26.4 - 0.05 * channel,
    method: 'coherent',
    flags: extra,
    gaps: [],
    capture: null,
    spectrum: drawn ? spectrumOf(point.frequency_Hz, parts, voltage_V, noise) : null,
  };
}

function crossing(channel: number, load_ohm: number, percent: number): number {
  let [low, high] = [30, 400];
  for (let i = 0; i < 60; i += 1) {
    const middle = Math.sqrt(low * high);
    if (100 * model(channel, 1000, load_ohm, middle).thdn < percent) low = middle;
    else high = middle;
  }
  return low;
}

function climbResults(
  channels: readonly number[],
  load_ohm: number,
  uncertain: boolean,
  note: string,
): Result[] {
  return channels.flatMap((channel): Result[] => {
    const base = { step: 'climb-1k', channel, driven: channels, load_ohm, frequency_Hz: 1000 };
    const powers = [0.1, 1].map((percent) => crossing(channel, load_ohm, percent));
    const marks = [0.1, 1].map(
      (threshold_percent, i): PowerAtThdn => ({
        kind: 'power-at-thdn',
        ...base,
        threshold_percent,
        power_W: powers[i]!,
        uncertainty_W: uncertain ? powers[i]! * 0.0082 : null,
        bracket_dB: 0.04,
        note: '',
      }),
    );
    const knee: KneeResult = {
      kind: 'knee',
      ...base,
      power_W: powers[0]! * 0.86,
      plateau_percent: 100 * PLATEAU * (1 + 0.12 * channel) * 1.5,
      governed_by: 'harmonics',
      hardness_dB: 10 * Math.log10(powers[1]! / powers[0]!),
      note,
    };
    return [...marks, knee];
  });
}

function bandResults(
  readings: readonly Reading[],
  channels: readonly number[],
  load_ohm: number,
): BandResult[] {
  return channels.map((channel) => {
    const own = readings.filter((reading) => reading.step === 'band' && reading.channel === channel);
    const weakest = own.reduce((a, b) => (b.power_W < a.power_W ? b : a));
    const dirtiest = own.reduce((a, b) => (b.thdn_percent > a.thdn_percent ? b : a));
    return {
      kind: 'band',
      step: 'band',
      channel,
      driven: channels,
      mains_V: null,
      cell: '',
      load_ohm,
      low_Hz: own[0]!.frequency_Hz,
      high_Hz: own.at(-1)!.frequency_Hz,
      least_power_W: weakest.power_W,
      least_power_Hz: weakest.frequency_Hz,
      most_thdn_percent: dirtiest.thdn_percent,
      most_thdn_Hz: dirtiest.frequency_Hz,
      flags: [...new Set(own.flatMap((reading) => reading.flags))],
    };
  });
}

/** Powers that a climb asks for: coarse where nothing happens, then finer, and the crossings refined at the end. */
function climbPowers(points: number, load_ohm: number, channels: readonly number[]): number[] {
  const top_W = crossing(1, load_ohm, 1) * 1.012;
  const rising = points - 4;
  const weakest = channels.at(-1)!;
  const refined = [0.1, 1].flatMap((percent) =>
    [1, weakest].map((channel) => crossing(channel, load_ohm, percent)),
  );
  return [
    ...Array.from({ length: rising }, (_, i) => 0.05 * (top_W / 0.05) ** Math.sqrt(i / (rising - 1))),
    ...refined,
  ];
}

function climb(channels: readonly number[], load_ohm: number, options: FixtureOptions) {
  const points: Point[] = [];
  const readings: Reading[] = [];
  for (const [i, power_W] of climbPowers(options.climbPoints ?? 30, load_ohm, channels).entries()) {
    const point: Point = {
      number: i + 1,
      step: 'climb-1k',
      stepKind: 'climb',
      nominal_Hz: 1000,
      frequency_Hz: 999.9847,
      driven: channels,
      mains_V: null,
      cell: '',
      load_ohm,
      level_dB: -40 + 10 * Math.log10(power_W / 0.05) * 0.9,
      asked_W: power_W,
      at_s: 4 + 3 * i,
    };
    points.push(point);
    for (const channel of channels) {
      const extra: FlagCode[] = i < 2 ? ['floor-limited'] : [];
      const given_W = power_W * (1 - 0.002 * (channel - 1));
      const uncertain = options.uncertainty !== false;
      readings.push(readingOf({ point, channel, power_W: given_W, uncertain, extra, drawn: true }));
    }
  }
  return { points, readings };
}

function band(channels: readonly number[], load_ohm: number, first: number, options: FixtureOptions) {
  const points: Point[] = [];
  const readings: Reading[] = [];
  const asked_W = crossing(1, load_ohm, 0.1);
  for (const [i, nominal_Hz] of R10_Hz.entries()) {
    const frequency_Hz = nominal_Hz * 1.0003;
    points.push({
      number: first + i,
      step: 'band',
      stepKind: 'sweep',
      nominal_Hz,
      frequency_Hz,
      driven: channels,
      mains_V: null,
      cell: '',
      load_ohm,
      level_dB: -7.9,
      asked_W,
      at_s: 120 + 3 * i,
    });
    for (const channel of channels) {
      const most_W = clip_W(channel, frequency_Hz, load_ohm) * 1.03;
      const wanted_W = crossing(channel, load_ohm, 0.1);
      const extra: FlagCode[] = [
        ...(most_W < wanted_W * 0.977 ? (['power-not-reached'] as const) : []),
        ...(3 * frequency_Hz > BAND[1] ? (['harmonics-out-of-band'] as const) : []),
        ...(2 * frequency_Hz > BAND[1] ? (['no-harmonic-in-band'] as const) : []),
      ];
      const uncertain = options.uncertainty !== false;
      const power_W = Math.min(wanted_W, most_W);
      readings.push(readingOf({ point: points.at(-1)!, channel, power_W, uncertain, extra, drawn: false }));
    }
  }
  return { points, readings };
}

const SEQUENCE_TEXT = `name: invented rated power
load: 8 ohm
driven: all
steps:
  - climb: { id: climb-1k, frequency: 1 kHz, from: 50 mW, marks: [0.1 %, 1 %], stop: 1 % }
  - sweep: { id: band, level: 0.1 % of climb-1k, frequencies: R10 from 20 Hz to 20 kHz }
`;

/** An invented run of an invented amplifier: a climb at 1 kHz, then the band at the 0.1 % power. */
export function invented(options: FixtureOptions = {}): RunRecord {
  const channels = Array.from({ length: options.channels ?? 2 }, (_, i) => i + 1);
  const load_ohm = options.load_ohm ?? 8;
  const up = climb(channels, load_ohm, options);
  const across = band(channels, load_ohm, up.points.length + 1, options);
  const readings = [...up.readings, ...across.readings];
  const uncertain = options.uncertainty !== false;
  return {
    run: options.run ?? 12,
    outcome: 'completed',
    reason: 'every step was done',
    started: '2031-03-04T10:22:31.000Z',
    ended: '2031-03-04T10:31:09.000Z',
    version: '0.1.0',
    unit: { label: options.label ?? 'Invented stereo unit, serial 0007' },
    bench: {
      name: options.benchName ?? 'invented bench',
      kind: 'simulated',
      rate_Hz: 48_000,
      text: '# an invented bench\nname: invented bench\ninterface: { kind: simulated, twin: stiff-pair }\n',
      sha256: 'b'.repeat(64),
    },
    sequence: { name: 'invented rated power', text: SEQUENCE_TEXT, sha256: '5'.repeat(64) },
    calibration: channels.map((channel) => ({
      id: `load-8-ohm-${channel}`,
      kind: 'load',
      text: `kind: load\nchannel: ${channel}\nvalue: 7.9696 ohm\nuncertainty: 0.2 %\ndate: 2031-01-15\n`,
      sha256: String(channel).repeat(64).slice(0, 64),
    })),
    checklist: [
      {
        item: 'No loudspeaker is connected to the unit',
        answer: 'yes',
        by: 'invented person',
        at: '2031-03-04T10:20:02.000Z',
      },
    ],
    claim: null,
    permit: null,
    sessions: [],
    probes: [],
    points: [...up.points, ...across.points],
    readings,
    findings: findingsOfResults(
      [
        ...climbResults(channels, load_ohm, uncertain, options.note ?? ''),
        ...bandResults(readings, channels, load_ohm),
      ],
      [...up.points, ...across.points],
    ),
    events: [
      { at_s: 0.2, kind: 'step-entered', step: 'climb-1k', step_kind: 'climb', entry: 'first' },
      { at_s: 96, kind: 'note', topic: 'rest', text: '12 s of rest for the loads before 95 W' },
      { at_s: 119.4, kind: 'step-entered', step: 'band', step_kind: 'sweep', entry: 'first' },
    ],
  };
}

/** The invented run, ended by the operator after its third point: no result was reached. */
export function interruptedAtPoint3(options: FixtureOptions = {}): RunRecord {
  const whole = invented(options);
  return {
    ...whole,
    outcome: 'interrupted',
    reason: 'the operator pressed Ctrl-C',
    points: whole.points.slice(0, 3),
    readings: whole.readings.filter((reading) => reading.point <= 3),
    findings: [],
  };
}

/** A run that ended before anything was measured. */
export function withoutReadings(): RunRecord {
  return {
    ...invented(),
    outcome: 'fault',
    reason: 'the capture device went away',
    ended: null,
    points: [],
    readings: [],
    findings: [],
    events: [],
    checklist: [],
    calibration: [],
  };
}
