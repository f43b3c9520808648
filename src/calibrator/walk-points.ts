import { formatQuantity } from '../units/format.js';
import type { CalibrationWork } from './calibration-work.js';
import type { ToneStand } from './tone-stand.js';

/** One setting of a long procedure. */
export interface WalkPoint {
  readonly nominal_Hz: number;
  /** Digital peaks at the outputs, by bench channel. */
  readonly peaks: ReadonlyMap<number, number>;
}

/** Plays points one after the other and says how long the rest will take, by what the first ones took. */
export async function walkPoints(
  work: CalibrationWork,
  stand: ToneStand,
  points: readonly WalkPoint[],
  visit: (point: WalkPoint, index: number) => Promise<void>,
): Promise<void> {
  const weights = points.map(({ nominal_Hz }) => stand.tone(nominal_Hz).frames);
  const all = weights.reduce((total, weight) => total + weight, 0);
  const begun_s = work.bench.now_s();
  let done = 0;
  for (const [i, point] of points.entries()) {
    stand.set(stand.tone(point.nominal_Hz), point.peaks);
    await visit(point, i);
    done += weights[i]!;
    const perWeight_s = (work.bench.now_s() - begun_s) / done;
    work.progress({
      done: done / all,
      left_s: perWeight_s * (all - done),
      text: `point ${i + 1} of ${points.length}, ${formatQuantity(point.nominal_Hz, 'Hz')}`,
    });
  }
}
