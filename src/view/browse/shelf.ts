import type { FoundRuns, Page, RunNames, RunSearch, RunSummary } from '../../record/run-list.js';
import type { Reading, RunRecord } from '../../record/run-record.js';

/** Where the pages take runs from: a database, as far as they need to know it. */
export interface Shelf {
  /** What it is called on the pages. */
  readonly name: string;
  /** When another database was last seen in the place of the one that was shown before; null when never. */
  replaced(): Date | null;
  search(search: RunSearch, page: Page): Promise<FoundRuns>;
  names(): Promise<RunNames>;
  /** What a run shows, in two sentences at most. Of one that cannot be read: why. */
  headline(run: RunSummary): Promise<readonly string[]>;
  /** All of one run. @throws InputError when there is no such run, or when it was tampered with */
  run(number: number): Promise<RunRecord>;
  /** What the bench of a run reads of itself where a reading was taken: THD+N in percent, null where it is not known. */
  floorOf(record: RunRecord): (reading: Reading) => number | null;
}
