import fc from 'fast-check';
import { readBench } from '../../src/bench/bench-file.js';
import { type Files, onDisk } from '../../src/bench/files.js';
import { readTwin } from '../../src/bench/simulated/twin-file.js';
import { readRecord } from '../../src/calibration/record-file.js';
import { readClaims } from '../../src/judgement/claim/claim-file.js';
import { parseClaims } from '../../src/judgement/claim/claim-text.js';
import { makePlan } from '../../src/sequence/make-plan.js';
import { readSequence } from '../../src/sequence/sequence-file.js';
import { decodeWav, type Wav } from '../../src/signal/decode-wav.js';
import { bench } from '../../test/sequence/bench-fixture.js';
import { bundles } from './bundle-subject.js';
import { CLAIM_FILES, CLAIM_LINES } from './claim-texts.js';
import { databases } from './database-subject.js';
import { documentCases } from './document-cases.js';
import { asText, requireDocumentError, requireInputError } from './refusal.js';
import { type Shipped, shippedIn } from './shipped-texts.js';
import { type Subject, Unsound } from './subject.js';
import { editedTexts } from './text-edits.js';
import { wavCases } from './wav-cases.js';

type Text = string | Uint8Array;

/** Files that were read once: a case tries the reader, not the disk. */
function remembering(): Files {
  const known = new Map<string, Uint8Array | string>();
  return {
    exists: (path) => known.has(path) || onDisk.exists(path),
    read: (path) => {
      const bytes = known.get(path) ?? onDisk.read(path);
      known.set(path, bytes);
      return bytes;
    },
    list: (folder) => onDisk.list(folder),
  };
}

const required = (value: unknown) => {
  if (typeof value !== 'object' || value === null) throw new Unsound(`read as ${String(value)}`);
};

function documentSubject(name: string, cases: fc.Arbitrary<Text>, read: (text: Text) => unknown): Subject {
  return {
    name,
    cases,
    read: (input) => read(input as Text),
    checkValue: required,
    checkRefusal: (error, input) => requireDocumentError(error, input as Text),
  };
}

const texts = (files: readonly Shipped[]) => files.map(({ text }) => text);

function sequences(): Subject {
  const facts = bench(2);
  const claims = [{ power_W: 100, load_ohm: 8, note: '' }];
  return documentSubject('sequence', documentCases(texts(shippedIn('sequences'))), (text) =>
    makePlan(readSequence(text, 'x.yaml'), facts, { claims }),
  );
}

/** Bench files, and the twins that they name. */
function benches(): Subject {
  const all = shippedIn('benches');
  const isTwin = ({ path }: Shipped) => path.includes('twins');
  const [twins, files] = [all.filter(isTwin), all.filter((file) => !isTwin(file))];
  const beside = files[0]!.path;
  const disk = remembering();
  const either = fc.oneof(
    { weight: 3, arbitrary: fc.tuple(fc.constant('bench'), documentCases(texts(files))) },
    { weight: 1, arbitrary: fc.tuple(fc.constant('twin'), documentCases(texts(twins))) },
  );
  return {
    name: 'bench',
    cases: either,
    read: (input) => {
      const [kind, text] = input as [string, Text];
      if (kind === 'twin') return readTwin(typeof text === 'string' ? text : asText(text), 'x.yaml');
      return readBench(text, beside, disk, '2026-03-01');
    },
    checkValue: required,
    checkRefusal: (error, input) => requireDocumentError(error, (input as [string, Text])[1]),
  };
}

/** A claim file, or one line of a claim. */
function claims(): Subject {
  const either = fc.oneof(
    { weight: 1, arbitrary: fc.tuple(fc.constant('file'), documentCases(CLAIM_FILES)) },
    { weight: 1, arbitrary: fc.tuple(fc.constant('line'), editedTexts(CLAIM_LINES)) },
  );
  return {
    name: 'claim',
    cases: either,
    read: (input) => {
      const [kind, text] = input as [string, Text];
      return kind === 'file' ? readClaims(text, 'x.yaml') : parseClaims(text as string);
    },
    checkValue: required,
    checkRefusal: (error, input) => {
      const [kind, text] = input as [string, Text];
      // A claim on the command line is one line, whatever stands in it.
      requireDocumentError(error, kind === 'line' ? (text as string).replaceAll(/\n|^\ufeff/g, ' ') : text);
    },
  };
}

/** Records with their seal, which any change breaks, and without, so that the rest is looked at. */
function calibrations(): Subject {
  const sealed = texts(shippedIn('calibration')).filter((_, i) => i % 5 === 0);
  const open = texts(shippedIn('calibration')).map((text) => text.replace(/^seal:.*\n?/m, ''));
  const hand =
    'kind: load\nchannel: 1\nnominal: 8 ohm\nvalue: 8.02 ohm\naccuracy: 0.5 % + 3 counts\nresolution: 0.01 ohm\ntempco: 0.01 %/K\ndate: 2026-02-10\ndue: 2027-02-10\n';
  return documentSubject('calibration', documentCases([...open, ...open, hand, ...sealed]), (text) =>
    readRecord(text, 'x.yaml', 'x'),
  );
}

function wavs(): Subject {
  return {
    name: 'wav',
    cases: wavCases,
    read: (input) => decodeWav(input as Uint8Array, 'x.wav'),
    checkValue: (value, input) => requireSoundWav(value as Wav, (input as Uint8Array).length),
    checkRefusal: (error) => requireInputError(error, ''),
  };
}

/** Nothing may be read that the file has no bytes for, nor at a rate at which no converter runs. */
function requireSoundWav({ rate_Hz, channels, bits }: Wav, bytes: number): void {
  const frames = channels[0]?.length ?? 0;
  const equal = channels.every((samples) => samples.length === frames);
  if (!equal || frames < 1 || frames * channels.length > bytes)
    throw new Unsound(`${channels.length} channels of ${frames} frames from ${bytes} bytes`);
  if (!(rate_Hz >= 1000 && rate_Hz <= 10_000_000)) throw new Unsound(`${rate_Hz} samples per second`);
  if (!(bits >= 1 && bits <= 64)) throw new Unsound(`${bits} bits`);
}

/** Every reader of foreign input, by name; made when asked for, since some read the files that ship. */
export const SUBJECTS: Readonly<Record<string, () => Subject>> = {
  sequence: sequences,
  bench: benches,
  claim: claims,
  calibration: calibrations,
  wav: wavs,
  bundle: bundles,
  database: databases,
};
