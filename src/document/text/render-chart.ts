import { type LaidAxis, namedTicks, shareOn, tickWords } from '../chart/axis.js';
import { axesOf } from '../chart/plot.js';
import type { Chart, Guide } from '../model/block.js';

/** Columns left of the picture, for the names on the axis. */
const MARGIN = 10;
const LEAST_COLUMNS = 20;
/** Rows of the picture, axis not counted. */
const USUAL_ROWS = 14;
/** What limits and claims are drawn with; other guides are not. */
const SIGNS: Readonly<Record<Guide['look'], string>> = { limit: '.', claim: ':', floor: '', trend: '' };

/** Room for a picture of characters: columns to fill, 40 or more, and rows without the two of the axis. */
export interface TextRoom {
  readonly width: number;
  readonly rows?: number;
}

/**
 * A chart in characters, row by row from the top, with two rows for the axis below. Each curve has its sign; where several
 * meet stands `*`. Empty when no point has a place.
 */
export function renderChartText(chart: Chart, { width, rows = USUAL_ROWS }: TextRoom): string[] {
  const { across, up } = axesOf(chart);
  const columns = Math.max(LEAST_COLUMNS, width - MARGIN - 2);
  const cells = Array.from({ length: rows }, () => Array<string>(columns).fill(' '));
  const row = (value: number) => Math.round(shareOn(up, value) * (rows - 1));
  const column = (value: number) => Math.round(shareOn(across, value) * (columns - 1));
  for (const { at, look } of chart.guides) {
    if (SIGNS[look] === '' || 'through' in at) continue;
    if ('y' in at) cells[row(at.y)]?.fill(SIGNS[look]);
    else if (column(at.x) < columns)
      for (const cell of cells) if (column(at.x) >= 0) cell[column(at.x)] = SIGNS[look];
  }
  const dots = dotsOf(chart).map(({ x, y, sign }) => ({ row: row(y), column: column(x), sign }));
  if (!drawDots(cells, dots)) return [];
  const names = namesUp(chart.guides, up, row);
  const body = cells.map((cell, i) => `${(names.get(i) ?? '').padStart(MARGIN)} |${cell.join('').trimEnd()}`);
  return [...body.reverse(), ...rowsAcross(across, column, columns)];
}

/** What is drawn with colons, for a title: `; colons: claim 100 W`. Empty without a claim. */
export function claimsInText({ guides }: Chart): string {
  const claims = guides.filter(({ look }) => look === 'claim').map(({ name }) => name);
  return claims.length === 0 ? '' : `; colons: ${claims.join(', ')}`;
}

const dotsOf = ({ curves }: Chart) =>
  curves.flatMap(({ points, sign }, i) =>
    points.map(({ x, y }) => ({ x, y, sign: sign ?? String((i + 1) % 10) })),
  );

/** Whether any dot had a place. */
function drawDots(
  cells: string[][],
  dots: readonly { readonly row: number; readonly column: number; readonly sign: string }[],
): boolean {
  const drawn = new Map<string, string>();
  for (const { row, column, sign } of dots) {
    if (sign === '' || cells[row]?.[column] === undefined) continue;
    const before = drawn.get(`${row} ${column}`) ?? sign;
    const now = before === sign ? sign : '*';
    drawn.set(`${row} ${column}`, now);
    cells[row][column] = now;
  }
  return drawn.size > 0;
}

/** Names by row; those of limits and claims come before those of round numbers. */
function namesUp(
  guides: readonly Guide[],
  up: LaidAxis,
  row: (value: number) => number,
): ReadonlyMap<number, string> {
  const words = (value: number) => tickWords(value, up.unit);
  const ticks = namedTicks(up, words, row, () => 1).map(({ at, name }) => [row(at), name] as const);
  const levels = guides.flatMap(({ at }) => ('y' in at ? [[row(at.y), words(at.y)] as const] : []));
  return new Map([...ticks, ...levels]);
}

function rowsAcross(across: LaidAxis, column: (value: number) => number, columns: number): string[] {
  const ticks = Array<string>(columns).fill('-');
  for (const { at } of across.ticks) ticks[column(at)] = '+';
  const named = namedTicks(
    across,
    (value) => tickWords(value, across.unit),
    column,
    (name) => name.length + 2,
  );
  let names = '';
  for (const { at, name } of named) {
    const start = MARGIN + 2 + Math.min(column(at) - Math.floor(name.length / 2), columns - name.length);
    if (names === '' || start > names.length + 1) names = `${names.padEnd(start)}${name}`;
  }
  return [`${' '.repeat(MARGIN)} +${ticks.join('')}`, names];
}
