import type { RunRecord, SensorSample } from '../../../record/run-record.js';
import { formatDuration } from '../../../units/format.js';
import { groupBy } from '../../../units/group-by.js';
import { visibleText } from '../../../units/visible-text.js';
import type { Chart } from '../block.js';
import { type ChartGround, TIME } from './chart-ground.js';

/** Fewer samples than this are no course. */
const LEAST_POINTS = 3;
/** A chart needs no more points than it has room for. */
const MOST_POINTS = 400;

/** The samples of each sensor in the order they were taken. */
export const sensorCourses = ({ probes }: RunRecord): Map<string, SensorSample[]> =>
  groupBy(probes, ({ probe }) => probe);

/** What each sensor said over the run. */
export const sensorCharts = ({ record }: ChartGround): Chart[] =>
  [...sensorCourses(record)].flatMap(([sensor, all], i) => {
    const samples = all.flatMap(({ at_s, value }) => (value === null ? [] : [{ at_s, value }]));
    if (samples.length < LEAST_POINTS) return [];
    const [name, unit] = [visibleText(sensor), visibleText(all[0]!.unit)];
    const stride = Math.ceil(samples.length / MOST_POINTS);
    const shown = samples.filter((_, n) => n % stride === 0 || n === samples.length - 1);
    return [
      {
        id: `sensor-${i + 1}`,
        title: `Sensor ${name}`,
        x: TIME,
        y: { name: `${name}, ${unit}`, unit: '1', scale: 'linear' },
        curves: [
          {
            name,
            points: shown.map(({ at_s, value }) => ({
              x: at_s,
              y: value,
              hint: `${formatDuration(at_s)}: ${Number(value.toPrecision(4))} ${unit}`,
            })),
          },
        ],
        guides: [],
        marks: [],
        words: `${samples.length} samples from the start of the run.`,
      },
    ];
  });
