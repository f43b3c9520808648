import { createHash } from 'node:crypto';
import { Canonical } from '../record/canonical.js';
import { storedEvent } from '../record/known-event.js';
import { storedFlags } from '../record/known-flags.js';
import type { SettlingFigures, StoredPart } from '../record/run-part.js';
import type { Permit, Point, Reading, RunRecord } from '../record/run-record.js';
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
 * The sums of a run, each a number of items and a SHA-256 in hexadecimal over them, chained: that of the sum before and the item in
 * canonical form (`record/canonical.ts`). So a sum can be kept up item by item, and stands for all of them in their order.
 */
export type Seal = Readonly<Record<Strand, string>>;

/** The form that sums are made in: the canonical form of plain data, and the fields of each item below. */
export const FORM = 1;

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

const canonical = new Canonical();

/** The sum over one item more. */
export function withItem(sum: string, item: unknown): string {
  const hash = createHash('sha256').update(sum).update(canonical.of(item)).digest('hex');
  return `${itemsIn(sum) + 1} ${hash}`;
}

/** What stands once in a run, and changes when a session begins or ends. */
type Head = Pick<RunRecord, 'started' | 'ended' | 'outcome' | 'reason' | 'version' | 'claim'> & {
  readonly permit: string | null;
  readonly bench: Omit<RunRecord['bench'], 'text'>;
  readonly sequence: Omit<RunRecord['sequence'], 'text'>;
};

/** The sum of what a list of runs tells of one. A run that was never closed counts as its program has left it. */
export function headSum({ ended, outcome, reason, bench, sequence, ...head }: Head): string {
  const { started, version, claim, permit } = head;
  return withItem(NOTHING, [
    started,
    ended,
    ...(ended === null ? ['running', ''] : [outcome, reason]),
    version,
    claim,
    permit,
    // The texts are proven by their own sums.
    ...[bench.name, bench.kind, bench.rate_Hz, bench.sha256, sequence.name, sequence.sha256],
  ]);
}

export const unitSum = ({ label }: RunRecord['unit']): string => withItem(NOTHING, label);

export const originSum = (origin: RunRecord['origin']): string =>
  origin ? withItem(NOTHING, [origin.run, origin.identity, origin.imported]) : NOTHING;

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
    conditions: withItem(NOTHING, conditions),
    unit: unitSum(record.unit),
    origin: originSum(record.origin),
  };
}

/** The items that a part adds, by strand. */
export function itemsOf(part: StoredPart, wanted: ReadonlySet<Strand>): [strand: Strand, item: unknown][] {
  switch (part.kind) {
    case 'point':
      return pointItems(part, wanted);
    case 'capture': {
      const { point, file, sha256, rate_Hz, frames, channels } = part;
      return [['captures', [point, file, sha256, rate_Hz, frames, channels]]];
    }
    case 'finding':
      return [['findings', part.finding]];
    case 'event':
      return [['events', storedEvent(part.event)]];
    case 'sample': {
      const { at_s, probe, unit, value } = part.sample;
      return [['samples', [at_s, probe, unit, value]]];
    }
  }
}

function pointItems(
  { point, readings, settlings = [] }: Extract<StoredPart, { kind: 'point' }>,
  wanted: ReadonlySet<Strand>,
): [Strand, unknown][] {
  const items: [Strand, unknown][] = [['points', [pointItem(point), ...readings.map(readingItem)]]];
  const harmonics = wanted.has('harmonics') ? readings.flatMap(harmonicsItem) : [];
  const spectra = wanted.has('spectra') ? readings.flatMap(spectrumItem) : [];
  const settled = wanted.has('settlings')
    ? readings.flatMap(({ channel }, i) => settlingItem(point.number, channel, settlings[i] ?? null))
    : [];
  if (harmonics.length > 0) items.push(['harmonics', harmonics]);
  if (spectra.length > 0) items.push(['spectra', spectra]);
  if (settled.length > 0) items.push(['settlings', settled]);
  return items;
}

const pointItem = (point: Point): unknown[] => POINT_FIELDS.map((field) => point[field]);

const readingItem = (reading: Reading): unknown[] => [
  ...READING_FIELDS.map((field) => reading[field]),
  ...reading.band_Hz,
  // Which of them a version knows, and names first, differs.
  storedFlags(reading).sort(),
  reading.gaps.map(({ frame, slip_frames }) => [frame, slip_frames]),
];

const harmonicsItem = ({ point, channel, harmonics }: Reading): number[] =>
  harmonics.length === 0
    ? []
    : [point, channel, ...harmonics.flatMap(({ order, frequency_Hz, rms }) => [order, frequency_Hz, rms])];

const spectrumItem = ({ point, channel, spectrum }: Reading): unknown[] =>
  spectrum
    ? [point, channel, Float64Array.from(spectrum.frequency_Hz), Float64Array.from(spectrum.level_dB)]
    : [];

const settlingItem = (point: number, channel: number, settling: SettlingFigures | null): number[] =>
  settling ? [point, channel, settling.level, settling.residue] : [];

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

/** Fields of a point in their order within form 1. A new field of a point belongs into a later form. */
const POINT_FIELDS = Object.keys({
  number: 0,
  step: 0,
  stepKind: 0,
  nominal_Hz: 0,
  frequency_Hz: 0,
  driven: 0,
  load_ohm: 0,
  mains_V: 0,
  cell: 0,
  level_dB: 0,
  asked_W: 0,
  at_s: 0,
} satisfies Record<keyof Point, 0>) as (keyof Point)[];

type Figure = Exclude<
  keyof Reading,
  // Of the point, of their own strands, or in a shape of their own.
  'step' | 'load_ohm' | 'capture' | 'harmonics' | 'spectrum' | 'band_Hz' | 'flags' | 'unknown_flags' | 'gaps'
>;

/** The same for a reading. */
const READING_FIELDS = Object.keys({
  point: 0,
  channel: 0,
  frequency_Hz: 0,
  load_measured_ohm: 0,
  power_W: 0,
  uncertainty_W: 0,
  voltage_V: 0,
  voltage_uncertainty_V: 0,
  current_A: 0,
  load_seen_ohm: 0,
  fundamental_V: 0,
  noise_V: 0,
  dc_V: 0,
  peak_V: 0,
  crest_factor: 0,
  thd_percent: 0,
  thdr_percent: 0,
  thdn_percent: 0,
  thdn_uncertainty_percent: 0,
  sinad_dB: 0,
  harmonics_in_band: 0,
  gain_dB: 0,
  method: 0,
} satisfies Record<Figure, 0>) as Figure[];
