import { z } from 'zod';
import { channel, channels, count, figure, maybe, moment, name, number, prose, sha256 } from './fields.js';

const MOST_WORST = 200_000;

/** A permission to run one sequence on one bench with nobody there, as it was signed. */
export const permitSchema = z.strictObject({
  id: name.min(1),
  sequence: name,
  sequence_sha256: sha256,
  bench: name,
  /** Of the bench file and every calibration record it uses. */
  bench_fingerprint: name,
  claim: prose.nullable(),
  by: name,
  signed: moment,
  expires: moment,
  /** The worst case that was shown to the signer, for people to read: nothing computes with it. */
  worst: z.unknown().refine((value) => JSON.stringify(value ?? null).length <= MOST_WORST, 'longer than any'),
  checklist: z.array(z.strictObject({ item: prose, answer: prose })).max(10_000),
});

/** An answer to the checklist. */
export const answerSchema = z.strictObject({ item: prose, answer: prose, by: name, at: moment });

/** A time at which a run was taken up again after it had broken off. */
export const sessionSchema = z.strictObject({
  /** From 2: the first session is the run's own start. */
  number: z.int().min(2).max(1e6),
  started: moment,
  /** Seconds on the run's clock, and the first point of the session. */
  at_s: number,
  first_point: z.int().min(1).max(1e9),
  /** How the session before had ended, in words. */
  before: prose,
  /** The id of the permit that it stands under; null or absent without one. */
  permit: name.nullable().exactOptional(),
});

/** One value of a sensor; null when it gave none. */
export const sampleSchema = z.strictObject({ at_s: number, probe: name, unit: name, value: maybe });

/** How the record behind a reading had settled: kept beside the readings, for the uncertainty of what is made from them. */
export const settlingSchema = z.strictObject({ point: count, channel, level: figure, residue: figure });

/** A capture that was kept: bench channels in the order of the file's channels. */
export const captureSchema = z.strictObject({
  point: count,
  rate_Hz: number,
  frames: count,
  channels,
  sha256,
});
