import type { RunRecord } from '../src/record/run-record.js';
import { invented } from '../test/document/fixture.js';

const ROUNDS = 7;
/** Points of the climb; the band adds the rest to 2000. */
const CLIMB_POINTS = 1969;

/** How long the page of a run of 2000 points takes: the first, everything loaded for it, and the median of later ones. */
export async function reportBench(): Promise<{ name: string; text: string; value: number }[]> {
  const begun = performance.now();
  const { htmlReport } = await import('../src/document/html/html-report.js');
  const loaded_s = (performance.now() - begun) / 1000;
  return [2, 8].map((channels) => {
    const record = invented({ channels, climbPoints: CLIMB_POINTS });
    const first_s = seconds(() => htmlReport(record));
    const later_s = median(() => htmlReport(record));
    const value = later_s / median(() => JSON.stringify(record));
    return {
      name: `report of ${record.points.length} points, ${channels} channels`,
      text: `${(loaded_s + first_s).toFixed(2)} s with loading, then ${later_s.toFixed(2)} s, ${value.toFixed(1)} times the record as JSON; ${size(record, htmlReport)}`,
      value,
    };
  });
}

function seconds(work: () => unknown): number {
  const begun = performance.now();
  work();
  return (performance.now() - begun) / 1000;
}

const median = (work: () => unknown): number =>
  Array.from({ length: ROUNDS }, () => seconds(work)).sort((a, b) => a - b)[ROUNDS >> 1]!;

const size = (record: RunRecord, page: (record: RunRecord) => string): string =>
  `${(Buffer.byteLength(page(record)) / 1e6).toFixed(2)} MB`;
