import { join } from 'node:path';
import type { WantedRecord } from '../calibration/record-faults.js';
import { type FiledRecord, readRecord } from '../calibration/record-file.js';
import { DocumentError, type Fault } from '../schema/document-error.js';
import type { YamlDocument } from '../schema/yaml-document.js';
import { type Files, whyUnreadable } from './files.js';
import { newest, recordCandidates } from './record-search.js';

/** Where a value stands in the bench file. */
export type KeyPath = readonly PropertyKey[];

/** A bench file while it is being read: its text, what it reaches, what is wrong so far. */
export class BenchReading {
  readonly faults: Fault[] = [];

  constructor(
    readonly document: YamlDocument,
    readonly path: string,
    readonly files: Files,
    /** Whether this bench can put real power on real terminals. */
    readonly energises: boolean,
    /** Today, year-month-day: no record can be younger. */
    readonly day: string,
    /** False where nothing can be played on it: what was once accepted must still be read. */
    readonly plays = true,
  ) {}

  complain(place: KeyPath, what: string, mend: string): void {
    this.faults.push(this.document.fault(place, what, mend));
  }

  /**
   * The calibration record that a name stands for today: the newest of its family, from the first folder that has
   * any. Null when there is none, when one of the family is faulty (it might have been the newest), or when
   * the newest does not belong there; each is noted at `place`.
   */
  record(name: string, wanted: Omit<WantedRecord, 'day'>, place: KeyPath): FiledRecord | null {
    const { folder, ids, folders } = recordCandidates(this.files, this.path, name);
    if (folder === null) {
      const looked = `looked for ${name}.yaml and ${name}-YEAR-MONTH-DAY.yaml in ${folders.join(', ')}`;
      this.complain(place, `there is no calibration record '${name}'`, looked);
      return null;
    }
    const family = ids.map((id) => this.#read(folder, id, {}, place));
    if (!family.every((filed) => filed !== null)) return null;
    return this.#read(folder, newest(family).record.id, wanted, place);
  }

  #read(folder: string, id: string, wanted: WantedRecord, place: KeyPath): FiledRecord | null {
    const file = join(folder, `${id}.yaml`);
    try {
      return readRecord(this.files.read(file), file, id, { ...wanted, day: this.day, plays: this.plays });
    } catch (error) {
      const reason =
        error instanceof DocumentError ? error.message.replace(/\.$/, '') : `${file} ${whyUnreadable(error)}`;
      this.complain(place, `the record '${id}' cannot be used: ${reason}`, '');
      return null;
    }
  }
}
