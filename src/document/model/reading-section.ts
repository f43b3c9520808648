import type { Reading, RunRecord } from '../../record/run-record.js';
import { formatUncertain } from '../../units/format-uncertain.js';
import type { Block, TableCell } from './block.js';
import { details, figures, table } from './make-blocks.js';
import { amount } from './wording.js';

/** A page stays readable, and below its size limit, with this many rows; the CSV export holds them all. */
const MOST_ROWS = 1000;

const COLUMNS = [
  ...figures('Point'),
  'Step',
  ...figures('Channel', 'Frequency', 'Power', 'Voltage', 'THD+N', 'THD', 'Gain'),
  'Flags',
];

/** Every reading of a run, folded away: the place where exact frequencies stand. */
export function readingBlocks({ readings, run }: RunRecord): Block[] {
  if (readings.length === 0) return [];
  const shown = readings.slice(0, MOST_ROWS);
  const count =
    shown.length < readings.length
      ? `${shown.length} of ${readings.length} readings; the CSV export holds them all`
      : `${readings.length} ${readings.length === 1 ? 'reading' : 'readings'}`;
  const title = `Readings of run ${run}, in the order they were taken`;
  return [details(`Every reading (${count})`, [table(title, COLUMNS, shown.map(rowOf))], true)];
}

const rowOf = (reading: Reading): TableCell[] => [
  String(reading.point),
  { text: reading.step, given: true },
  String(reading.channel),
  amount(reading.frequency_Hz, 'Hz'),
  formatUncertain(reading.power_W, reading.uncertainty_W, 'W'),
  amount(reading.voltage_V, 'V'),
  amount(reading.thdn_percent, '%'),
  amount(reading.thd_percent, '%'),
  amount(reading.gain_dB, 'dB'),
  reading.flags.join(', '),
];
