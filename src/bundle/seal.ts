import { createHash } from 'node:crypto';
import { endianness } from 'node:os';
import { storedEvent } from '../record/known-event.js';
import { storedFlags } from '../record/known-flags.js';
import type { SettlingFigures, StoredPart } from '../record/run-part.js';
import type { Permit, Point, Reading, RunRecord } from '../record/run-record.js';
import { canonicalJson } from './canonical-json.js';
import type { RunContent } from './content.js';
import { partsOf } from './run-parts.js';

/** What was recorded of a run, in strands that are summed up each for itself: who reads a part of a run proves that part. */
export const RECORDED = [
  'head',
  'conditions',
  'points',
  'harmonics',
  'spectra',
  'settlings',
  'events',
  'samples',
] as const;

/** What may become another without a measurement: by a new name, an evaluation, a change of place. */
export const BESIDE = ['unit', 'findings', 'captures', 'origin'] as const;

export const STRANDS = [...RECORDED, ...BESIDE] as const;

export type Strand = (typeof STRANDS)[number];

/**
 * The sums of a run, each a number of items and a SHA-256 in hexadecimal over them, chained: see `withItem`. So a sum can be kept up
 * item by item, and stands for all of them in their order.
 */
export type Seal = Readonly<Record<Strand, string>>;

/** The form that sums are made in: `withItem`, and the fields of each item below. */
export const FORM = 1;

/** What a sum is made of: texts and lists as canonical JSON, and figures, of which a run may have a million. */
interface Item {
  readonly text: string;
  /** NaN where there is none. */
  readonly figures: Float64Array;
}

const NOTHING = `0 ${'0'.repeat(64)}`;

export const EMPTY_SEAL = Object.fromEntries(STRANDS.map((strand) => [strand, NOTHING])) as Seal;

/** What a run is known by wherever it goes: SHA-256 over the sums of all that was recorded of it. */
export function identityOf(seal: Seal): string {
  const hash = createHash('sha256').update(`ohmest run, form ${FORM}\n`);
  for (const strand of RECORDED) hash.update(`${strand} ${seal[strand]}\n`);
  return hash.digest('hex');
}

/** How many items a sum stands for. */
export const itemsIn = (sum: string): number => Number.parseInt(sum, 10);

/**
 * The sum over one item more. Form 1: SHA-256 of the sum before, a space, the number of figures, a space, the text in UTF-8, a line feed,
 * then the figures as little-endian 64-bit floats: no sign on a zero and one NaN for all, since columns of SQLite keep neither.
 */
export function withItem(sum: string, { text, figures }: Item): string {
  const hash = createHash('sha256').update(`${sum} ${figures.length} ${text}\n`).update(bytesOf(figures));
  return `${itemsIn(sum) + 1} ${hash.digest('hex')}`;
}

function bytesOf(figures: Float64Array): Uint8Array {
  const bytes = new Uint8Array(figures.buffer, figures.byteOffset, figures.byteLength);
  return LITTLE_ENDIAN ? bytes : Buffer.from(bytes).swap64();
}

const LITTLE_ENDIAN = endianness() === 'LE';

const NO_FIGURES = new Float64Array();

const itemOf = (data: unknown): Item => ({ text: canonicalJson(data), figures: NO_FIGURES });

/** What stands once in a run, and changes when a session begins or ends. */
type Head = Pick<RunRecord, 'started' | 'ended' | 'outcome' | 'reason' | 'version' | 'claim'> & {
  readonly permit: string | null;
  readonly bench: Omit<RunRecord['bench'], 'text'>;
  readonly sequence: Omit<RunRecord['sequence'], 'text'>;
};

/** The sum of what a list of runs tells of one. A run that was never closed counts as its program has left it. */
export function headSum({ ended, outcome, reason, bench, sequence, ...head }: Head): string {
  const { started, version, claim, permit } = head;
  const told = [
    started,
    ended,
    ...(ended === null ? ['running', ''] : [outcome, reason]),
    version,
    claim,
    permit,
    // The texts are proven by their own sums.
    ...[bench.name, bench.kind, bench.rate_Hz, bench.sha256, sequence.name, sequence.sha256],
  ];
  return withItem(NOTHING, itemOf(told));
}

export const unitSum = ({ label }: RunRecord['unit']): string => withItem(NOTHING, itemOf(label));

export const originSum = (origin: RunRecord['origin']): string =>
  origin ? withItem(NOTHING, itemOf([origin.run, origin.identity, origin.imported])) : NOTHING;

/** The sums of a run without its parts. */
export function headSums(
  record: Omit<RunRecord, 'points' | 'readings' | 'findings' | 'events' | 'probes'>,
  permits: readonly Permit[],
): Pick<Seal, 'head' | 'conditions' | 'unit' | 'origin'> {
  const { calibration, checklist, sessions } = record;
  const conditions = [
    calibration.map(({ id, kind, sha256 }) => [id, kind, sha256]),
    checklist.map(({ item, answer, by, at }) => [item, answer, by, at]),
    sessions.map(({ number, started, at_s, first_point, before, permit = null }) => [
      ...[number, started, at_s, first_point, before, permit],
    ]),
    permits,
  ];
  return {
    head: headSum({ ...record, permit: record.permit?.id ?? null }),
    conditions: withItem(NOTHING, itemOf(conditions)),
    unit: unitSum(record.unit),
    origin: originSum(record.origin),
  };
}

/** The items that a part adds, by strand. */
export function itemsOf(part: StoredPart, wanted: ReadonlySet<Strand>): [strand: Strand, item: Item][] {
  switch (part.kind) {
    case 'point':
      return pointItems(part, wanted);
    case 'capture': {
      const { point, file, sha256, rate_Hz, frames, channels } = part;
      return [['captures', itemOf([point, file, sha256, rate_Hz, frames, channels])]];
    }
    case 'finding':
      return [['findings', itemOf(part.finding)]];
    case 'event':
      return [['events', itemOf(storedEvent(part.event))]];
    case 'sample': {
      const { at_s, probe, unit, value } = part.sample;
      return [
        ['samples', { text: canonicalJson([probe, unit]), figures: Float64Array.of(at_s, plain(value)) }],
      ];
    }
  }
}

function pointItems(
  { point, readings, settlings = [] }: Extract<StoredPart, { kind: 'point' }>,
  wanted: ReadonlySet<Strand>,
): [Strand, Item][] {
  const items: [Strand, Item][] = [['points', pointItem(point, readings)]];
  const add = (strand: Strand, figures: readonly number[]) => {
    if (figures.length > 0) items.push([strand, { text: '', figures: Float64Array.from(figures, plain) }]);
  };
  if (wanted.has('harmonics')) add('harmonics', harmonicFigures(readings));
  if (wanted.has('settlings')) add('settlings', settlingFigures(readings, settlings));
  if (wanted.has('spectra'))
    for (const { point, channel, spectrum } of readings) {
      if (!spectrum) continue;
      const figures = Float64Array.from(spectrum.frequency_Hz.concat(spectrum.level_dB), plain);
      items.push(['spectra', { text: `${point} ${channel}`, figures }]);
    }
  return items;
}

/** A figure as a sum is made of it. */
const plain = (value: number | null): number =>
  value === null || Number.isNaN(value) ? Number.NaN : value + 0;

function pointItem(point: Point, readings: readonly Reading[]): Item {
  const figures = new Float64Array(POINT_FIGURES.length + readings.length * (READING_FIGURES.length + 2));
  put(figures, 0, point, POINT_FIGURES);
  readings.forEach((reading, i) => {
    const at = POINT_FIGURES.length + i * (READING_FIGURES.length + 2);
    put(figures, at, reading, READING_FIGURES);
    put(figures, at + READING_FIGURES.length, reading.band_Hz, EDGES);
  });
  const texts = readings.map((reading) => [
    reading.method,
    // Which of them a version knows, and names first, differs.
    reading.flags.length === 0 ? [] : storedFlags(reading).sort(),
    reading.gaps.length === 0 ? [] : canonicalJson(reading.gaps),
  ]);
  return { text: JSON.stringify([point.step, point.stepKind, point.cell, point.driven, texts]), figures };
}

const EDGES = [0, 1] as const;

/** Written out by index: a run has some ten thousand of them, and most are read before any code is compiled. */
function put<K extends PropertyKey>(
  figures: Float64Array,
  from: number,
  holder: Readonly<Record<K, number | null>>,
  fields: readonly K[],
): void {
  for (let i = 0; i < fields.length; i += 1) figures[from + i] = plain(holder[fields[i]!]);
}

function harmonicFigures(readings: readonly Reading[]): number[] {
  const figures: number[] = [];
  for (const { point, channel, harmonics } of readings) {
    if (harmonics.length > 0) figures.push(point, channel, harmonics.length);
    for (const { order, frequency_Hz, rms } of harmonics) figures.push(order, frequency_Hz, rms);
  }
  return figures;
}

const settlingFigures = (
  readings: readonly Reading[],
  settlings: readonly (SettlingFigures | null)[],
): number[] =>
  readings.flatMap(({ point, channel }, i) => {
    const settling = settlings[i];
    // A column that holds no number says that it is not known.
    return settling && !Number.isNaN(settling.level + settling.residue)
      ? [point, channel, settling.level, settling.residue]
      : [];
  });

/** All sums of a run, those that are not `wanted` left empty. */
export function sealOf(
  { record, permits, settlings }: Omit<RunContent, 'captures'>,
  files: Parameters<typeof partsOf>[1],
  wanted: ReadonlySet<Strand> = new Set(STRANDS),
): Seal {
  const seal: Record<Strand, string> = { ...EMPTY_SEAL, ...headSums(record, permits) };
  for (const part of partsOf({ record, settlings }, files))
    for (const [strand, item] of itemsOf(part, wanted)) seal[strand] = withItem(seal[strand], item);
  return seal;
}

/** The identity of a whole run. */
export const identityOfRun = (content: Omit<RunContent, 'captures'>): string =>
  identityOf(sealOf(content, new Map(), new Set(RECORDED)));

/** Figures of a point in their order within form 1; its other fields are texts. */
const POINT_FIGURES = [
  'number',
  'nominal_Hz',
  'frequency_Hz',
  'load_ohm',
  'mains_V',
  'level_dB',
  'asked_W',
  'at_s',
] as const satisfies readonly (keyof Point)[];

/** The same for a reading. Its step and its load are those of its point. */
export const READING_FIGURES = [
  'point',
  'channel',
  'frequency_Hz',
  'load_measured_ohm',
  'power_W',
  'uncertainty_W',
  'voltage_V',
  'voltage_uncertainty_V',
  'current_A',
  'load_seen_ohm',
  'fundamental_V',
  'noise_V',
  'dc_V',
  'peak_V',
  'crest_factor',
  'thd_percent',
  'thdr_percent',
  'thdn_percent',
  'thdn_uncertainty_percent',
  'sinad_dB',
  'harmonics_in_band',
  'gain_dB',
] as const satisfies readonly (keyof Reading)[];

type Figures<T> = { [K in keyof T]-?: T[K] extends number | null ? K : never }[keyof T];
type Uncovered =
  | Exclude<Figures<Point>, (typeof POINT_FIGURES)[number]>
  | Exclude<Figures<Reading>, (typeof READING_FIGURES)[number] | 'load_ohm'>;
// A new figure that stands in neither list does not compile: nothing would notice a change of it.
null as unknown as Uncovered satisfies never;
