import { accessSync, constants, existsSync } from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import type { BenchSetup } from '../../bench/bench-setup.js';
import { onDisk } from '../../bench/files.js';
import { PACKAGE_ROOT } from '../../bench/package-root.js';
import { recordCandidates, recordFolders } from '../../bench/record-search.js';
import { DATED_NAME } from '../../calibration/record-faults.js';
import { readRecord } from '../../calibration/record-file.js';
import type { CalibrationFinding } from '../../calibrator/finding.js';
import { label } from '../../schema/fields.js';
import { quoted } from '../../units/parse.js';
import { OptionWrong } from '../terminal/option.js';
import { FileUnwritable } from '../terminal/write-output.js';

/** What a record is of. */
type Subject = Pick<CalibrationFinding, 'kind' | 'channel' | 'nominal_ohm'>;

/** Where the records of a part belong and what they are called. */
export interface RecordPlace {
  readonly folder: string;
  readonly family: string;
  /** Whether the bench file names this family. */
  readonly named: boolean;
  /** Whether the bench file, naming it, would find a new record there. */
  readonly found: boolean;
}

const NAME = /^[A-Za-z0-9][A-Za-z0-9._-]{0,49}$/;

/**
 * Family and folder of the records of one part: the family that the bench file names, else one after the part; the folder
 * in which that family lies, else `calibration` beside the bench file.
 *
 * @param into folder that the user asked for
 * @param name family that the user asked for
 */
export function recordPlace(
  setup: BenchSetup,
  subject: Subject,
  { into, name }: { readonly into?: string | undefined; readonly name?: string | undefined },
): RecordPlace {
  const inFile = familyInFile(setup, subject);
  const family = name ?? inFile ?? familyOf(subject);
  const lies = recordCandidates(onDisk, setup.path, family).folder;
  const folders = recordFolders(setup.path);
  const folder = into ?? lies ?? join(dirname(setup.path), 'calibration');
  const here = folders.findIndex((candidate) => resolve(candidate) === resolve(folder));
  const there = lies === null ? folders.length : folders.indexOf(lies);
  return { folder, family, named: family === inFile, found: here >= 0 && here <= there };
}

/** `output-1`, `load-8-1`, `floor`. */
export function familyOf({ kind, channel, nominal_ohm }: Subject): string {
  return [kind, nominal_ohm, channel].filter((part) => part !== null).join('-');
}

/** The family of records that a bench file names for a part; null when it names none. */
function familyInFile(setup: BenchSetup, { kind, channel, nominal_ohm }: Subject): string | null {
  const records =
    kind === 'floor'
      ? [setup.floorRecord].filter((record) => record != null)
      : (setup.channels.find((chain) => chain.channel === channel)?.records ?? []);
  const own = records.find(
    (record) =>
      record.kind === kind &&
      (kind !== 'load' || readRecord(record.text, record.id, record.id).load?.nominal === nominal_ohm),
  );
  return own ? (DATED_NAME.exec(own.id)?.[1] ?? own.id) : null;
}

/** @throws OptionWrong when a name cannot be that of a record, or would hide its date */
export function requireFamilyName(name: string | undefined): void {
  if (name === undefined || (NAME.test(name) && !DATED_NAME.test(name))) return;
  throw new OptionWrong({
    what: `--name ${quoted(name)} cannot name a record`,
    mend: 'Use letters, digits and dashes, without a date: the tool adds it. As in left-output',
  });
}

/**
 * @throws OptionWrong for a bench that ships with the tool, where nothing of the user's belongs
 * @throws FileUnwritable
 */
export function requirePlace(setup: BenchSetup, into: string | undefined): void {
  if (into === undefined && resolve(dirname(setup.path)) === resolve(PACKAGE_ROOT, 'benches'))
    throw new OptionWrong({
      what: `${setup.name} is a bench that ships with ohmest, and no records are written among its files`,
      mend: 'Say where the record should go, as in --into calibration, or copy the bench file and work with the copy',
    });
  if (into === '')
    throw new OptionWrong({
      what: '--into names no folder',
      mend: 'Name one, as in --into calibration, or leave it out',
    });
  const folder = into ?? join(dirname(setup.path), 'calibration');
  if (!existsSync(folder)) return;
  try {
    accessSync(folder, constants.W_OK);
  } catch (error) {
    throw new FileUnwritable({
      what: 'this place may not be written to',
      where: folder,
      mend: 'Name another folder with --into',
      cause: error,
    });
  }
}

/** Longest name or label that a record takes. */
const LONGEST = 200;

/**
 * Makes sure, before anything is played, that a record will take a name as it was typed.
 *
 * @param from where it was typed, as in `--by`
 * @throws OptionWrong
 */
export function requireLabel(text: string | undefined, from: string): void {
  if (text === undefined || label(LONGEST).safeParse(text).success) return;
  throw new OptionWrong({
    what: `${from} ${quoted(text)} cannot stand in a record`,
    mend: `Write one line of 1 to ${LONGEST} characters, without control characters`,
  });
}
