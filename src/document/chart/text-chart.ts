import { placeOn, type TextAxis, ticksOn } from './text-axis.js';

/** Columns left of the picture, for the names on the axis. */
const MARGIN = 10;

/** What is drawn with which character. */
export interface TextDot {
  readonly x: number;
  readonly y: number;
  readonly ink: string;
}

export interface TextChart {
  readonly across: TextAxis;
  readonly up: TextAxis;
  readonly dots: readonly TextDot[];
  /** Drawn as dotted rows and named at the side. */
  readonly levels?: readonly number[];
  /** Drawn as a column, or as a row, of colons. */
  readonly claimAcross?: number | null;
  readonly claimUp?: number | null;
  /** Columns to fill, 40 or more, and rows of the picture, axis not counted. */
  readonly width: number;
  readonly rows: number;
}

/** The last digit of a channel's number: what its readings are drawn with. */
export const inkOf = (channel: number): string => String(channel % 10);

/**
 * A picture made of characters, row by row from the top, with two rows for the axis below. Where dots of several
 * inks meet stands `*`. Dots beyond the axes are left out.
 */
export function textChart(chart: TextChart): string[] {
  const { across, up, rows } = chart;
  const columns = Math.max(20, chart.width - MARGIN - 2);
  const cells = Array.from({ length: rows }, () => Array<string>(columns).fill(' '));
  for (const level of chart.levels ?? []) cells[placeOn(up, level, rows)]?.fill('.');
  if (chart.claimUp != null) cells[placeOn(up, chart.claimUp, rows)]?.fill(':');
  if (chart.claimAcross != null) {
    const column = placeOn(across, chart.claimAcross, columns);
    if (column >= 0 && column < columns) for (const row of cells) row[column] = ':';
  }
  drawDots(cells, chart, columns);
  const names = namesUp(up, chart.levels ?? [], rows);
  const body = cells
    .map((row, i) => `${(names.get(i) ?? '').padStart(MARGIN)} |${row.join('').trimEnd()}`)
    .reverse();
  return [...body, ...rowsAcross(across, columns)];
}

function drawDots(cells: string[][], { across, up, dots, rows }: TextChart, columns: number): void {
  const drawn = new Map<string, string>();
  for (const { x, y, ink } of dots) {
    const [row, column] = [placeOn(up, y, rows), placeOn(across, x, columns)];
    if (cells[row]?.[column] === undefined) continue;
    const before = drawn.get(`${row} ${column}`) ?? ink;
    const now = before === ink ? ink : '*';
    drawn.set(`${row} ${column}`, now);
    cells[row][column] = now;
  }
}

/** Names by row; those of levels come before those of round numbers. */
function namesUp(up: TextAxis, levels: readonly number[], rows: number): ReadonlyMap<number, string> {
  const named = [...ticksOn(up), ...levels].map(
    (value) => [placeOn(up, value, rows), up.name(value)] as const,
  );
  return new Map(named.filter(([row]) => row >= 0 && row < rows));
}

function rowsAcross(across: TextAxis, columns: number): string[] {
  const ticks = Array<string>(columns).fill('-');
  let names = '';
  for (const value of ticksOn(across)) {
    const column = placeOn(across, value, columns);
    ticks[column] = '+';
    const name = across.name(value);
    const start = MARGIN + 2 + Math.min(column - Math.floor(name.length / 2), columns - name.length);
    if (names === '' || start > names.length + 1) names = `${names.padEnd(start)}${name}`;
  }
  return [`${' '.repeat(MARGIN)} +${ticks.join('')}`, names];
}
