import type { Reading } from '../../record/run-record.js';
import { formatQuantity } from '../../units/format.js';
import type { CurveGroup } from '../curves.js';
import { type Axis, axis, GRID, logarithmic, printLogHz, SIZES, type SizeName } from './axes.js';
import { drawSvg } from './draw-svg.js';
import { lineStyle } from './line-style.js';
import { curveSeries } from './series.js';
import { linearAxis, logAxis } from './ticks.js';

/** THD+N against frequency at the power that a sweep held, both in decades. */
export function sweepThdnChart(group: CurveGroup, id: string, name: string, size: SizeName): string {
  const up = logAxis(
    readingsOf(group).map((reading) => reading.thdn_percent),
    { dense: 1.4 },
  );
  const y = logarithmic({ ...up, name: 'THD+N, %', side: 'left' });
  return sweepChart(group, { id, name, size, y, height: ({ thdn_percent }) => Math.log10(thdn_percent) });
}

/** Power against frequency, from zero upwards, so that a sag looks as large as it is. */
export function sweepPowerChart(group: CurveGroup, id: string, name: string, size: SizeName): string {
  const { high, grid } = linearAxis(readingsOf(group).map((reading) => reading.power_W));
  const print = (value: number) => String(Number(value.toPrecision(4)));
  const y = axis({ name: 'Power per channel, W', side: 'left', low: 0, high, grid, labelled: grid, print });
  return sweepChart(group, { id, name, size, y, height: ({ power_W }) => power_W });
}

const readingsOf = (group: CurveGroup): Reading[] => group.curves.flatMap((curve) => curve.readings);

interface SweepChart {
  readonly id: string;
  readonly name: string;
  readonly size: SizeName;
  readonly y: Axis;
  readonly height: (reading: Reading) => number;
}

function sweepChart(group: CurveGroup, { id, name, size, y, height }: SweepChart): string {
  const across = logAxis(
    readingsOf(group).map((reading) => reading.frequency_Hz),
    { margin: 0.02, dense: size === 'narrow' ? 2.5 : 4 },
  );
  const series = group.curves.map(({ label, readings }, i) =>
    curveSeries(
      readings,
      lineStyle(i),
      (reading) => [Math.log10(reading.frequency_Hz), height(reading)],
      ({ frequency_Hz, power_W, thdn_percent }) =>
        `${label}: ${formatQuantity(frequency_Hz, 'Hz')}, ${formatQuantity(power_W, 'W')}, THD+N ${formatQuantity(thdn_percent, '%')}`,
    ),
  );
  return drawSvg({
    id: `${id}-${size}`,
    name,
    ...SIZES[size],
    margins: { ...GRID, right: 16 },
    across: logarithmic({ ...across, name: 'Frequency, Hz', side: 'bottom' }, printLogHz),
    up: y,
    series,
  });
}
