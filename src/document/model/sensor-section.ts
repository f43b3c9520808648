import type { SensorSample } from '../../record/run-record.js';
import { unitSign } from '../../units/format.js';
import { visibleText } from '../../units/visible-text.js';
import type { Section } from './block.js';
import { sensorCharts, sensorCourses } from './charts/sensor-chart.js';
import type { Ground } from './ground.js';
import { figures, pictures, section, table } from './make-blocks.js';

const TITLE = 'Sensors, sampled beside the signal';
const COLUMNS = ['Sensor', ...figures('First', 'Lowest', 'Highest', 'Last', 'Samples', 'Without a value')];

/** What was sampled beside the signal; nothing where nothing was. */
export function sensorSection(ground: Ground): Section[] {
  const rows = [...sensorCourses(ground.record)].map(rowOf);
  if (rows.length === 0) return [];
  return [section('sensors', TITLE, [...pictures(sensorCharts(ground), true), table(TITLE, COLUMNS, rows)])];
}

function rowOf([name, samples]: readonly [string, readonly SensorSample[]]): string[] {
  const values = samples.flatMap(({ value }) => (value === null ? [] : [value]));
  const rising = values.toSorted((a, b) => a - b);
  const figure = (value: number | undefined) =>
    value === undefined || !Number.isFinite(value)
      ? '–'
      : `${Number(value.toPrecision(4))} ${visibleText(unitSign(samples[0]!.unit))}`;
  return [
    visibleText(name),
    ...[values[0], rising[0], rising.at(-1), values.at(-1)].map(figure),
    String(samples.length),
    String(samples.length - values.length),
  ];
}
