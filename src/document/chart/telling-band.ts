import type { BandResult } from '../../record/old-results.js';
import type { RunRecord } from '../../record/run-record.js';

/**
 * The band results of the sweep that says most of the unit: the one that asked for the greatest power. A
 * gentle sweep holds its level on any unit; it must not stand for the one that failed.
 */
export function tellingBand(record: RunRecord): readonly BandResult[] {
  const bands = record.results.filter((result) => result.kind === 'band');
  const asked = (band: BandResult): number =>
    Math.max(
      band.least_power_W,
      ...record.points
        .filter(({ step, load_ohm }) => step === band.step && load_ohm === band.load_ohm)
        .map(({ asked_W }) => asked_W ?? 0),
    );
  const first = bands.reduce<BandResult | null>(
    (most, band) => (most === null || asked(band) > asked(most) ? band : most),
    null,
  );
  return bands.filter((band) => band.step === first!.step && band.load_ohm === first!.load_ohm);
}

/** The name of the sweep, where a run has several and the reader must know which one is meant. */
export function nameIfSeveral(record: RunRecord, chosen: readonly BandResult[]): string {
  const sweeps = new Set(record.results.flatMap((result) => (result.kind === 'band' ? [result.step] : [])));
  return sweeps.size > 1 && chosen[0] ? chosen[0].step : '';
}

/** What the run says of sweeps, or channels of a sweep, that were not played. */
export function leftOutNotes(record: RunRecord): readonly string[] {
  return record.events.flatMap((event) =>
    event.kind === 'note' && event.topic === 'sweep' ? [event.text] : [],
  );
}
