import type { Reading } from '../../record/run-record.js';
import { formatQuantity } from '../../units/format.js';
import { type Axis, axis, GRID, logarithmic, printLogHz, SIZES, type SizeName } from './axes.js';
import type { Curve, CurveGroup } from './curves.js';
import { drawSvg } from './draw-svg.js';
import { floorPlaces, floorShapes, floorWords } from './floor-line.js';
import { lineStyle } from './line-style.js';
import { readingWords } from './reading-words.js';
import { curveSeries } from './series.js';
import type { Shape } from './shapes.js';
import { linearAxis, logAxis } from './ticks.js';

/** THD+N against frequency at the power that a sweep held, both in decades. */
export function sweepThdnChart(
  group: CurveGroup,
  id: string,
  name: string,
  size: SizeName,
  floorAt: (reading: Reading) => number | null = () => null,
): string {
  const up = logAxis(
    readingsOf(group).map((reading) => reading.thdn_percent),
    { dense: 1.4 },
  );
  const y = logarithmic({ ...up, name: 'THD+N, %', side: 'left' });
  const floor = floorPlaces(group.curves[0]?.readings ?? [], floorAt, ({ frequency_Hz }) =>
    Math.log10(frequency_Hz),
  );
  return sweepChart(group, {
    id,
    name,
    size,
    y,
    height: ({ thdn_percent }) => Math.log10(thdn_percent),
    under: [...group.curves.map((curve, i) => barsOf(curve, i, thdnLimits)), ...floorShapes(floor)],
    over: floorWords(floor, up),
  });
}

/** Power against frequency, from zero upwards, so that a sag looks as large as it is. */
export function sweepPowerChart(group: CurveGroup, id: string, name: string, size: SizeName): string {
  const { high, grid } = linearAxis(readingsOf(group).map((reading) => reading.power_W));
  const print = (value: number) => String(Number(value.toPrecision(4)));
  const y = axis({ name: 'Power per channel, W', side: 'left', low: 0, high, grid, labelled: grid, print });
  const under = group.curves.map((curve, i) => barsOf(curve, i, powerLimits));
  return sweepChart(group, { id, name, size, y, height: ({ power_W }) => power_W, under });
}

const readingsOf = (group: CurveGroup): Reading[] => group.curves.flatMap((curve) => curve.readings);

interface SweepChart {
  readonly id: string;
  readonly name: string;
  readonly size: SizeName;
  readonly y: Axis;
  readonly height: (reading: Reading) => number;
  readonly under?: readonly Shape[];
  readonly over?: readonly Shape[];
}

/** How far each reading may lie up or down, in positions on the upward axis. */
const barsOf = (
  { readings }: Curve,
  index: number,
  limits: (reading: Reading) => readonly [low: number, high: number] | null,
): Shape => ({
  kind: 'bars',
  colour: lineStyle(index).colour,
  spans: readings.flatMap((reading) => {
    const within = limits(reading);
    const x = Math.log10(reading.frequency_Hz);
    return within === null
      ? []
      : [
          [
            [x, within[0]],
            [x, within[1]],
          ] as const,
        ];
  }),
});

const thdnLimits = ({ thdn_percent, thdn_uncertainty_percent: within }: Reading) =>
  within === null || within >= thdn_percent
    ? null
    : ([Math.log10(thdn_percent - within), Math.log10(thdn_percent + within)] as const);

const powerLimits = ({ power_W, uncertainty_W }: Reading) =>
  uncertainty_W === null ? null : ([Math.max(0, power_W - uncertainty_W), power_W + uncertainty_W] as const);

function sweepChart(
  group: CurveGroup,
  { id, name, size, y, height, under = [], over = [] }: SweepChart,
): string {
  const across = logAxis(
    readingsOf(group).map((reading) => reading.frequency_Hz),
    { margin: 0.02, dense: size === 'narrow' ? 2.5 : 4 },
  );
  const series = group.curves.map(({ label, readings }, i) =>
    curveSeries(
      readings,
      lineStyle(i),
      (reading) => [Math.log10(reading.frequency_Hz), height(reading)],
      (reading) => readingWords(label, reading, [formatQuantity(reading.frequency_Hz, 'Hz')]),
    ),
  );
  return drawSvg({
    id: `${id}-${size}`,
    name,
    ...SIZES[size],
    margins: { ...GRID, right: 16 },
    across: logarithmic({ ...across, name: 'Frequency, Hz', side: 'bottom' }, printLogHz),
    up: y,
    under,
    series,
    over,
  });
}
