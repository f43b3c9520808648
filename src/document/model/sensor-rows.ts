import type { RunRecord, SensorSample } from '../../record/run-record.js';
import { unitSign } from '../../units/format.js';
import { groupBy } from '../../units/group-by.js';
import { visibleText } from '../../units/visible-text.js';

/** One sensor over a run, in words with its unit. */
export interface SensorRow {
  readonly name: string;
  readonly first: string;
  readonly least: string;
  readonly most: string;
  readonly last: string;
  readonly samples: number;
  readonly missing: number;
}

/** The samples of each sensor in the order they were taken. */
export const sensorCourses = ({ probes }: RunRecord): Map<string, SensorSample[]> =>
  groupBy(probes, ({ probe }) => probe);

/** Each sensor of a run in one line. */
export function sensorRows(record: RunRecord): SensorRow[] {
  return [...sensorCourses(record)].map(([name, samples]) => {
    const values = samples.flatMap(({ value }) => (value === null ? [] : [value]));
    const print = (value: number | undefined) =>
      value === undefined || !Number.isFinite(value)
        ? '–'
        : `${Number(value.toPrecision(4))} ${visibleText(unitSign(samples[0]!.unit))}`;
    return {
      name: visibleText(name),
      first: print(values[0]),
      least: print(
        values.reduce<number | undefined>((a, b) => (a === undefined || b < a ? b : a), undefined),
      ),
      most: print(values.reduce<number | undefined>((a, b) => (a === undefined || b > a ? b : a), undefined)),
      last: print(values.at(-1)),
      samples: samples.length,
      missing: samples.length - values.length,
    };
  });
}
