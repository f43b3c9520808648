import { dirname, join } from 'node:path';
import type { CalibrationRecord } from '../calibration/chain.js';
import { type FiledRecord, readRecord } from '../calibration/record-file.js';
import { DocumentError, type Fault } from '../schema/document-error.js';
import type { YamlDocument } from '../schema/yaml-document.js';
import type { Files } from './files.js';

/** Where a value stands in the bench file. */
export type Place = readonly PropertyKey[];

/** A bench file while it is being read: its text, what it reaches, what is wrong so far. */
export class BenchReading {
  readonly faults: Fault[] = [];

  constructor(
    readonly document: YamlDocument,
    readonly path: string,
    readonly files: Files,
    /** Whether this bench can put real power on real terminals. */
    readonly energises: boolean,
  ) {}

  complain(place: Place, what: string, mend: string): void {
    this.faults.push(this.document.fault(place, what, mend));
  }

  /**
   * The calibration record of a name, from the folder `calibration` beside the bench file or beside the
   * folder that it lies in. Null when it is missing or does not belong there, which is noted at `place`.
   */
  record(
    id: string,
    wanted: { kind: CalibrationRecord['kind']; channel?: number; nominal_ohm?: number },
    place: Place,
  ): FiledRecord | null {
    const here = dirname(this.path);
    const candidates = [
      join(here, 'calibration', `${id}.yaml`),
      join(here, '..', 'calibration', `${id}.yaml`),
    ];
    const file = candidates.find((candidate) => this.files.exists(candidate));
    if (!file) {
      this.complain(
        place,
        `there is no calibration record '${id}'`,
        `looked for ${candidates.join(' and ')}`,
      );
      return null;
    }
    try {
      const filed = readRecord(this.files.read(file), file, id);
      const wrong = mismatch(filed, wanted);
      if (!wrong) return filed;
      this.complain(
        place,
        `the record '${id}' does not belong here: ${wrong}`,
        'name another, or mend the record',
      );
    } catch (error) {
      const reason = error instanceof DocumentError ? error.message.replace(/\.$/, '') : 'it cannot be read';
      this.complain(place, `the record '${id}' is of no use: ${reason}`, '');
    }
    return null;
  }
}

function mismatch(
  filed: FiledRecord,
  wanted: { kind: CalibrationRecord['kind']; channel?: number; nominal_ohm?: number },
): string | null {
  if (filed.record.kind !== wanted.kind)
    return `it is of an ${filed.record.kind}, not of an ${wanted.kind}`.replace(/an (?=load|floor)/g, 'a ');
  if (wanted.channel !== undefined && filed.channel !== wanted.channel)
    return `it is of channel ${filed.channel}, not of channel ${wanted.channel}`;
  if (wanted.nominal_ohm !== undefined && filed.nominal_ohm !== wanted.nominal_ohm)
    return `it is of the ${filed.nominal_ohm} ohm load, not of the ${wanted.nominal_ohm} ohm load`;
  return null;
}
