import type { Reading, RunRecord } from '../../../record/run-record.js';
import { formatQuantity } from '../../../units/format.js';
import { powerWithin } from '../../model/wording.js';
import { visibleText } from '../../text/visible-text.js';
import { html, type Markup } from '../markup.js';
import { typeset } from '../typeset.js';
import { table } from './table.js';

/** A page stays readable, and below its size limit, with this many rows; the CSV export holds them all. */
const MOST_ROWS = 1000;

const COLUMNS = [
  { name: 'Point', figures: true },
  { name: 'Step' },
  { name: 'Channel', figures: true },
  { name: 'Frequency', figures: true },
  { name: 'Power', figures: true },
  { name: 'Voltage', figures: true },
  { name: 'THD+N', figures: true },
  { name: 'THD', figures: true },
  { name: 'Gain', figures: true },
  { name: 'Flags' },
];

/** Every reading of a run, folded away until it is asked for. */
export function readingsTable(record: RunRecord): Markup {
  const { readings } = record;
  if (readings.length === 0) return html``;
  const shown = readings.slice(0, MOST_ROWS);
  const count =
    shown.length < readings.length
      ? `${shown.length} of ${readings.length} readings; the CSV export holds them all`
      : `${readings.length} ${readings.length === 1 ? 'reading' : 'readings'}`;
  return html`<details class="readings"><summary>Every reading (${count})</summary>
${table(`Readings of run ${record.run}, in the order they were taken`, COLUMNS, shown.map(rowOf))}</details>
`;
}

const print = (value: number | null, unit: Parameters<typeof formatQuantity>[1]): string =>
  value === null ? '–' : typeset(formatQuantity(value, unit));

function rowOf(reading: Reading) {
  return [
    reading.point,
    visibleText(reading.step),
    reading.channel,
    print(reading.frequency_Hz, 'Hz'),
    typeset(powerWithin(reading.power_W, reading.uncertainty_W)),
    print(reading.voltage_V, 'V'),
    print(reading.thdn_percent, '%'),
    print(reading.thd_percent, '%'),
    print(reading.gain_dB, 'dB'),
    reading.flags.join(', '),
  ];
}
