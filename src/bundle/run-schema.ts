import { z } from 'zod';
import { OUTCOMES } from '../record/outcome.js';
import { storedEventSchema } from '../record/schema/event-schema.js';
import { moment, name, number, prose, type Read, sha256 } from '../record/schema/fields.js';
import { storedFindingSchema } from '../record/schema/finding-schema.js';
import { pointSchema, readingSchema } from '../record/schema/reading-schema.js';
import {
  answerSchema,
  captureSchema,
  permitSchema,
  sampleSchema,
  sessionSchema,
  settlingSchema,
} from '../record/schema/run-schema.js';
import { unitLabel } from '../record/unit-label.js';
import type { LongList } from './parse-long-json.js';

const MOST_POINTS = 200_000;
const MOST_READINGS = 1_000_000;
const MOST_SAMPLES = 2_000_000;

const label = z.string().refine(isLabel, 'no label that a unit can go by');

function isLabel(text: string): boolean {
  try {
    return unitLabel(text) === text;
  } catch {
    return false;
  }
}

/** The lists of a run that may be long. */
export const LONG_LISTS = {
  probes: { item: sampleSchema, most: MOST_SAMPLES },
  points: { item: pointSchema, most: MOST_POINTS },
  readings: { item: readingSchema, most: MOST_READINGS },
  events: { item: storedEventSchema, most: MOST_SAMPLES },
  settlings: { item: settlingSchema, most: MOST_READINGS },
  findings: { item: storedFindingSchema, most: MOST_POINTS },
  // Every capture that the database had, whether or not the bundle carries it.
  captures: { item: captureSchema, most: MOST_POINTS },
} satisfies Record<string, LongList>;

export const longList = <Item extends z.ZodType>({
  item,
  most,
}: {
  readonly item: Item;
  readonly most: number;
}) => z.array(item).max(most);

/** All of a run but what formats differ in. */
export const RUN_FIELDS = {
  run: z.int().min(1).max(1e15),
  outcome: z.enum(OUTCOMES),
  reason: prose,
  started: moment,
  ended: moment.nullable(),
  version: name,
  unit: z.strictObject({ label }),
  bench: z.strictObject({ name, kind: name, rate_Hz: number, sha256 }),
  sequence: z.strictObject({ name, sha256 }),
  calibration: z.array(z.strictObject({ id: name, kind: name, sha256 })).max(10_000),
  checklist: z.array(answerSchema).max(10_000),
  /** Id of the permit it stands under. */
  permit: name.nullable(),
  sessions: z.array(sessionSchema).max(10_000),
  probes: longList(LONG_LISTS.probes),
  readings: longList(LONG_LISTS.readings),
  settlings: longList(LONG_LISTS.settlings),
  captures: longList(LONG_LISTS.captures),
};

/** A run as `run.json` holds it: all of it but the texts, which are members of their own. */
export const runSchema = z.strictObject({
  ...RUN_FIELDS,
  /** Null for a run that was recorded without one. */
  identity: sha256.nullable(),
  points: longList(LONG_LISTS.points),
  findings: longList(LONG_LISTS.findings),
  events: longList(LONG_LISTS.events),
});

export type PackedRun = Read<typeof runSchema>;
export type PackedReading = PackedRun['readings'][number];
export type PackedSettling = PackedRun['settlings'][number];
export type PackedCapture = PackedRun['captures'][number];

/** The permits of a run: its own, and those of its sessions. */
export const permitsSchema = z.array(permitSchema).max(10_000);
