import { formatQuantity } from '../../units/format.js';
import type { LatestReading, RunView } from '../run-view.js';
import { atRight, clip } from './fit.js';
import { faint, plain, type TerminalLine } from './line.js';

const COLUMNS = [7, 11, 11, 11] as const;

/** What each channel gave at the last point, one a row below a heading. At most `rows` rows, 2 or more. */
export function channelLines({ latest }: RunView, width: number, rows: number): TerminalLine[] {
  if (latest.length === 0) return [];
  const fits = latest.length + 1 <= rows;
  const shown = fits ? latest : latest.slice(0, Math.max(0, rows - 2));
  return [
    faint(clip(row(['channel', 'power', 'voltage', 'THD+N'], 'flags'), width)),
    ...shown.map((reading) => channelLine(reading, width)),
    ...(fits ? [] : [faint(clip(`and ${latest.length - shown.length} channels more`, width))]),
  ];
}

function channelLine(
  { channel, power_W, voltage_V, thdn_percent, flags }: LatestReading,
  width: number,
): TerminalLine {
  const cells = [
    String(channel),
    formatQuantity(power_W, 'W'),
    formatQuantity(voltage_V, 'V'),
    formatQuantity(thdn_percent, '%'),
  ];
  const text = clip(row(cells, flags.join(', ')), width);
  return flags.length === 0 ? plain(text) : { text, tone: 'warning' };
}

const row = (cells: readonly string[], flags: string): string =>
  `${cells.map((cell, i) => atRight(cell, COLUMNS[i]!)).join('')}  ${flags}`.trimEnd();
