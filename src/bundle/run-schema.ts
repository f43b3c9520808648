import { z } from 'zod';
import type { StoredFinding } from '../record/finding.js';
import type { StoredEvent } from '../record/known-event.js';
import type { Permit, RunRecord } from '../record/run-record.js';
import { storedEventSchema } from '../record/schema/event-schema.js';
import {
  channel,
  channels,
  count,
  figure,
  maybe,
  moment,
  name,
  number,
  prose,
  sha256,
} from '../record/schema/fields.js';
import { storedFindingSchema } from '../record/schema/finding-schema.js';
import { unitLabel } from '../record/unit-label.js';
import type { LongList } from './parse-long-json.js';
import { type PackedReading, pointSchema, readingSchema } from './reading-schema.js';

/** How the record behind a reading had settled: kept beside the readings, for the uncertainty of what is made from them. */
export interface PackedSettling {
  readonly point: number;
  readonly channel: number;
  readonly level: number;
  readonly residue: number;
}

/** A capture that was kept, as the run tells it. */
export interface PackedCapture {
  readonly point: number;
  readonly rate_Hz: number;
  readonly frames: number;
  /** Bench channels in the order of the file's channels. */
  readonly channels: readonly number[];
  readonly sha256: string;
}

type Content = { readonly name: string; readonly sha256: string };

/** A run as `run.json` holds it: all of it but the texts, which are members of their own. */
export interface PackedRun
  extends Omit<
    RunRecord,
    'bench' | 'sequence' | 'calibration' | 'claim' | 'permit' | 'readings' | 'origin' | 'findings' | 'events'
  > {
  readonly outcome: Exclude<RunRecord['outcome'], 'running'>;
  readonly bench: Omit<RunRecord['bench'], 'text'>;
  readonly sequence: Content;
  readonly calibration: readonly Omit<RunRecord['calibration'][number], 'text'>[];
  /** Null for a run that was recorded without one. */
  readonly identity: string | null;
  /** Id of the permit it stands under. */
  readonly permit: string | null;
  readonly readings: readonly PackedReading[];
  readonly findings: readonly StoredFinding[];
  readonly events: readonly StoredEvent[];
  readonly settlings: readonly PackedSettling[];
  /** Every capture that the database had, whether or not the bundle carries it. */
  readonly captures: readonly PackedCapture[];
}

const MOST_POINTS = 200_000;
const MOST_READINGS = 1_000_000;
const MOST_SAMPLES = 2_000_000;

const MOST_WORST = 200_000;

const checklist = z.array(z.strictObject({ item: prose, answer: prose, by: name, at: moment })).max(10_000);

const label = z.string().refine(isLabel, 'no label that a unit can go by');

function isLabel(text: string): boolean {
  try {
    return unitLabel(text) === text;
  } catch {
    return false;
  }
}

const session = z.strictObject({
  number: z.int().min(2).max(1e6),
  started: moment,
  at_s: number,
  first_point: z.int().min(1).max(1e9),
  before: prose,
  permit: name.nullable().exactOptional(),
});

/** The lists of a run that may be long. */
export const LONG_LISTS = {
  probes: {
    item: z.strictObject({ at_s: number, probe: name, unit: name, value: maybe }),
    most: MOST_SAMPLES,
  },
  points: { item: pointSchema, most: MOST_POINTS },
  readings: { item: readingSchema, most: MOST_READINGS },
  events: { item: storedEventSchema, most: MOST_SAMPLES },
  settlings: {
    item: z.strictObject({ point: count, channel, level: figure, residue: figure }),
    most: MOST_READINGS,
  },
  findings: { item: storedFindingSchema, most: MOST_POINTS },
  captures: {
    item: z.strictObject({ point: count, rate_Hz: number, frames: count, channels, sha256 }),
    most: MOST_POINTS,
  },
} satisfies Record<string, LongList>;

export const longList = <T>({ item, most }: { readonly item: z.ZodType<T>; readonly most: number }) =>
  z.array(item).max(most);

/** All of a run but what formats differ in. */
export const RUN_FIELDS = {
  run: z.int().min(1).max(1e15),
  outcome: z.enum(['completed', 'stopped', 'tripped', 'fault', 'interrupted']),
  reason: prose,
  started: moment,
  ended: moment.nullable(),
  version: name,
  unit: z.strictObject({ label }),
  bench: z.strictObject({ name, kind: name, rate_Hz: number, sha256 }),
  sequence: z.strictObject({ name, sha256 }),
  calibration: z.array(z.strictObject({ id: name, kind: name, sha256 })).max(10_000),
  checklist,
  permit: name.nullable(),
  sessions: z.array(session).max(10_000),
  probes: longList(LONG_LISTS.probes),
  readings: longList(LONG_LISTS.readings),
  settlings: longList(LONG_LISTS.settlings),
  captures: longList(LONG_LISTS.captures),
};

export const runSchema: z.ZodType<PackedRun> = z.strictObject({
  ...RUN_FIELDS,
  identity: sha256.nullable(),
  points: longList(LONG_LISTS.points),
  findings: longList(LONG_LISTS.findings),
  events: longList(LONG_LISTS.events),
});

/** The permits of a run: its own, and those of its sessions. */
export const permitsSchema: z.ZodType<readonly Permit[]> = z
  .array(
    z.strictObject({
      id: name.min(1),
      sequence: name,
      sequence_sha256: sha256,
      bench: name,
      bench_fingerprint: name,
      claim: prose.nullable(),
      by: name,
      signed: moment,
      expires: moment,
      // What was shown to the signer, for people to read: nothing computes with it.
      worst: z
        .unknown()
        .refine((value) => JSON.stringify(value ?? null).length <= MOST_WORST, 'longer than any'),
      checklist: z.array(z.strictObject({ item: prose, answer: prose })).max(10_000),
    }),
  )
  .max(10_000);
