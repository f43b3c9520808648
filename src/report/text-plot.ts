import { formatQuantity } from '../units/format.js';
import type { CurveGroup } from './curves.js';

/** Rows of the plot, axis not counted. */
const ROWS = 16;
const MARGIN = 10;

interface Axis {
  readonly low: number;
  readonly high: number;
}

/**
 * A climb as text: THD+N upwards and power to the right, both in decades. Each channel is drawn with the
 * last digit of its number, `*` where several meet; the dotted rows are the marked thresholds.
 *
 * @param width columns to fill, 40 or more. Empty when nothing can be drawn.
 */
export function textPlot(group: CurveGroup, width: number): string {
  const dots = group.curves.flatMap(({ channel, readings }) =>
    readings
      .filter(({ power_W, thdn_percent }) => power_W > 0 && thdn_percent > 0)
      .map(({ power_W, thdn_percent }) => ({
        x: Math.log10(power_W),
        y: Math.log10(thdn_percent),
        ink: String(channel % 10),
      })),
  );
  if (dots.length === 0) return '';
  const across = axisOf(dots.map((dot) => dot.x));
  const up = axisOf(dots.map((dot) => dot.y));
  const columns = Math.max(20, width - MARGIN - 2);
  const cells = Array.from({ length: ROWS }, () => Array<string>(columns).fill(' '));
  for (const percent of thresholdsOf(group)) cells[place(up, Math.log10(percent), ROWS)]?.fill('.');
  for (const { x, y, ink } of dots) {
    const row = cells[place(up, y, ROWS)]!;
    const column = place(across, x, columns);
    row[column] = row[column] === ' ' || row[column] === '.' || row[column] === ink ? ink : '*';
  }
  const labels = labelsUp(up, group);
  const body = cells
    .map((row, i) => `${(labels.get(i) ?? '').padStart(MARGIN)} |${row.join('').trimEnd()}`)
    .reverse();
  return [...body, ...axisAcross(across, columns)].join('\n');
}

const axisOf = (values: readonly number[]): Axis => ({
  low: Math.min(...values),
  // A decade at least, so that a few readings do not look like a precipice.
  high: Math.max(...values, Math.min(...values) + 1),
});

const place = ({ low, high }: Axis, value: number, cells: number): number =>
  Math.round(((value - low) / (high - low)) * (cells - 1));

const decadesIn = ({ low, high }: Axis): number[] =>
  Array.from({ length: Math.floor(high) - Math.ceil(low) + 1 }, (_, i) => Math.ceil(low) + i);

function thresholdsOf(group: CurveGroup): number[] {
  const marks = group.curves.flatMap(({ results }) =>
    results.flatMap((result) => (result.kind === 'power-at-thdn' ? [result.threshold_percent] : [])),
  );
  return [...new Set(marks)];
}

function labelsUp(up: Axis, group: CurveGroup): ReadonlyMap<number, string> {
  const decades = decadesIn(up).map((decade) => 10 ** decade);
  const labelled = [...decades, ...thresholdsOf(group)];
  return new Map(
    labelled.map((percent) => [
      place(up, Math.log10(percent), ROWS),
      formatQuantity(percent, '%', { figures: 2, trim: true }),
    ]),
  );
}

function axisAcross(across: Axis, columns: number): string[] {
  const ticks = Array<string>(columns).fill('-');
  let names = ' '.repeat(MARGIN + 2);
  for (const decade of decadesIn(across)) {
    const column = place(across, decade, columns);
    ticks[column] = '+';
    const name = formatQuantity(10 ** decade, 'W', { figures: 2, trim: true });
    const start = MARGIN + 2 + Math.min(column - Math.floor(name.length / 2), columns - name.length);
    if (start > names.trimEnd().length) names = `${names.trimEnd().padEnd(start)}${name}`;
  }
  return [`${' '.repeat(MARGIN)} +${ticks.join('')}`, names];
}
