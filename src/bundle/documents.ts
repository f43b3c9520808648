import { createHash } from 'node:crypto';
import { z } from 'zod';
import { knownEvent, storedEvent } from '../record/known-event.js';
import { knownFlags, storedFlags } from '../record/known-flags.js';
import type { DrawnSpectrum, Reading, RunRecord } from '../record/run-record.js';
import { channel, figure, type Read } from '../record/schema/fields.js';
import { BundleAltered, BundleInvalid, RunGoesOn } from './bundle-errors.js';
import { canonicalJson } from './canonical-json.js';
import type { RunContent } from './content.js';
import { broughtUpToDate, LONG_LISTS_1, run1Schema } from './format-1/run-1-schema.js';
import { calibrationMember, MEMBER, spectraMember } from './members.js';
import { parseJson } from './parse-json.js';
import { parseLongJson } from './parse-long-json.js';
import { runFaults } from './run-faults.js';
import { LONG_LISTS, type PackedReading, type PackedRun, permitsSchema, runSchema } from './run-schema.js';
import { identityOfRun } from './seal.js';

export const hashOf = (bytes: Uint8Array | string): string =>
  createHash('sha256').update(bytes).digest('hex');

/** The documents of a bundle, by the names of their members: `run.json`, and the texts that it leaves out. */
export type Documents = ReadonlyMap<string, string>;

/**
 * Takes a run apart into documents.
 *
 * @throws RunGoesOn
 */
export function documentsOf(content: RunContent): Documents {
  const { record, settlings, permits, captures } = content;
  const { origin, outcome, bench, sequence, calibration, claim, permit, readings, ...parts } = record;
  const { findings, events, ...rest } = parts;
  if (outcome === 'running') throw new RunGoesOn(record.run);
  const packed: PackedRun = {
    ...rest,
    run: origin?.run ?? record.run,
    outcome,
    bench: withoutText(bench),
    sequence: withoutText(sequence),
    calibration: calibration.map(withoutText),
    identity: record.identity === null ? null : identityOfRun(content),
    permit: permit?.id ?? null,
    readings: readings.map(packedReading),
    findings,
    events: events.map(storedEvent),
    settlings,
    captures,
  };
  return new Map([
    [MEMBER.run, canonicalJson(packed)],
    [MEMBER.bench, bench.text],
    [MEMBER.sequence, sequence.text],
    ...spectraDocuments(readings),
    ...calibration.map(({ id, text }, place) => [calibrationMember(place, id), text] as const),
    ...(claim === null ? [] : [[MEMBER.claim, claim] as const]),
    ...(permits.length === 0 ? [] : [[MEMBER.permits, canonicalJson(permits)] as const]),
  ]);
}

function packedReading(reading: Reading): PackedReading {
  const { capture: _file, spectrum: _apart, unknown_flags: _aside, ...rest } = reading;
  return { ...rest, flags: storedFlags(reading) };
}

function spectraDocuments(readings: RunRecord['readings']): Map<string, string> {
  const byPoint = new Map<number, PackedSpectra[number][]>();
  for (const { point, channel, spectrum } of readings) {
    if (spectrum === null) continue;
    const own = byPoint.get(point) ?? [];
    own.push({ channel, ...spectrum });
    byPoint.set(point, own);
  }
  return new Map([...byPoint].map(([point, own]) => [spectraMember(point), canonicalJson(own)]));
}

function withoutText<T extends { readonly text: string }>({ text: _text, ...rest }: T): Omit<T, 'text'> {
  return rest;
}

/** Where documents come from. */
export interface BundleSource {
  /** The bundle, for messages. */
  readonly file: string;
  readonly format_version: number;
  /** Told the name of each long document as soon as its text is needed no more. */
  readonly spent: (name: string) => void;
}

/**
 * Puts a run together from the documents of a bundle, having checked every field of them.
 *
 * @throws BundleInvalid, or BundleAltered for a text that is not the one the run was made with
 */
export function runFrom(documents: Documents, { file, format_version, spent }: BundleSource): RunContent {
  const text = textOf(documents, MEMBER.run, file);
  const old = format_version === 1 ? parseLongJson(text, run1Schema, LONG_LISTS_1, file, MEMBER.run) : null;
  const packed = old ? broughtUpToDate(old) : parseLongJson(text, runSchema, LONG_LISTS, file, MEMBER.run);
  const permitText = documents.get(MEMBER.permits) ?? '[]';
  const permits = parseJson(permitText, permitsSchema, file, MEMBER.permits);
  const faults = runFaults(packed, permits);
  if (faults.length > 0) throw new BundleInvalid(file, MEMBER.run, faults);
  requireNoMore(documents, packed, file);
  spent(MEMBER.run);
  const { bench, sequence, calibration, permit, readings, settlings, captures, ...rest } = packed;
  const withText = <T extends { readonly sha256: string }>(content: T, member: string) => {
    const text = textOf(documents, member, file);
    if (hashOf(text) === content.sha256) return { ...content, text };
    throw new BundleAltered(file, `${member} is not the text that the run was made with, by its SHA-256`);
  };
  const record = {
    ...rest,
    events: rest.events.map(knownEvent),
    bench: withText(bench, MEMBER.bench),
    sequence: withText(sequence, MEMBER.sequence),
    calibration: calibration.map((one, place) => withText(one, calibrationMember(place, one.id))),
    claim: documents.get(MEMBER.claim) ?? null,
    permit: permits.find(({ id }) => id === permit) ?? null,
    readings: withSpectra(readings, documents, file, spent),
  };
  return { record, settlings, permits, captures };
}

function textOf(documents: Documents, member: string, file: string): string {
  const text = documents.get(member);
  if (text !== undefined) return text;
  throw new BundleAltered(file, `${member} is missing`);
}

/** The readings with the spectra that travel beside them. @throws BundleInvalid for a spectrum of no reading, or a second one */
function withSpectra(
  readings: PackedRun['readings'],
  documents: Documents,
  file: string,
  spent: (name: string) => void,
): RunRecord['readings'] {
  const spectra = new Map<string, DrawnSpectrum>();
  const known = new Set(readings.map(({ point, channel }) => `${point}/${channel}`));
  for (const point of new Set(readings.map((reading) => reading.point))) {
    const member = spectraMember(point);
    const text = documents.get(member);
    if (text === undefined) continue;
    for (const { channel, ...spectrum } of parseJson(text, spectraSchema, file, member)) {
      const key = `${point}/${channel}`;
      if (!known.delete(key))
        throw new BundleInvalid(file, member, [`no reading of channel ${channel} is left for it`]);
      spectra.set(key, spectrum);
    }
    spent(member);
  }
  return readings.map((reading) => ({
    ...reading,
    ...knownFlags(reading.flags),
    capture: null,
    spectrum: spectra.get(`${reading.point}/${reading.channel}`) ?? null,
  }));
}

/** A text that nothing in the run speaks of would pass for part of it. */
function requireNoMore(documents: Documents, { calibration, points }: PackedRun, file: string): void {
  const due = new Set<string>([
    ...Object.values(MEMBER),
    ...calibration.map(({ id }, place) => calibrationMember(place, id)),
    ...points.map(({ number }) => spectraMember(number)),
  ]);
  const more = [...documents.keys()].find((name) => !due.has(name));
  if (more !== undefined) throw new BundleAltered(file, `${more} belongs to nothing in the run`);
}

const spectrum = z
  .strictObject({ channel, frequency_Hz: z.array(figure).max(10_000), level_dB: z.array(figure).max(10_000) })
  .refine(
    ({ frequency_Hz, level_dB }) => frequency_Hz.length === level_dB.length,
    'a spectrum has as many levels as frequencies',
  );

/** The spectra of one point, which would be most of a run: each point's are a document of their own. */
const spectraSchema = z.array(spectrum).max(4096);

type PackedSpectra = Read<typeof spectraSchema>;
