import { stringify } from 'csv-stringify/sync';
import { READING_COLUMNS, type ReadingColumn } from './csv-export.js';
import { type FindingColumn, RESULT_COLUMNS } from './results-csv.js';

/** What the columns of the two other exports mean, a row each: they stand once here and not in every row there. */
export function columnsCsv(): string {
  const rows = [
    ...READING_COLUMNS.map((column) => ['csv', column, MEANINGS[column]]),
    ...RESULT_COLUMNS.map((column) => ['results-csv', column, MEANINGS[column]]),
  ];
  return stringify([['export', 'column', 'meaning'], ...rows], { record_delimiter: 'windows' });
}

const RMS = 'rms at the load';
const EXPANDED = 'expanded, for 95.45 % (k = 2 unless the budget says more)';

const HARMONICS = Object.fromEntries(
  Array.from({ length: 19 }, (_, i) => [`h${i + 2}_V`, `harmonic ${i + 2}, ${RMS}`]),
) as Readonly<Record<Extract<ReadingColumn, `h${number}_V`>, string>>;

const MEANINGS: Readonly<Record<ReadingColumn | FindingColumn, string>> = {
  run: 'number of the run in its database',
  unit: 'label of the unit under test',
  bench: 'name of the bench',
  point: 'number of the setting played, from 1',
  step: 'id of the step',
  step_kind: 'kind of the step',
  channel: 'output channel, from 1; empty: all driven channels together',
  driven: 'channels that carried the signal',
  at_s: "seconds since the run began, by the bench's clock",
  load_ohm: 'nominal load',
  load_measured_ohm: 'load that powers were computed with',
  nominal_Hz: 'preferred frequency that the tone stands for',
  frequency_Hz: 'frequency played',
  level_dB: 'generator level of the loudest driven channel, relative to full scale',
  asked_W: 'power requested',
  power_W: 'V²/R, with V the rms of the whole band-limited voltage and R the measured load',
  uncertainty_W: `uncertainty of power_W, ${EXPANDED}`,
  voltage_V: `whole band, ${RMS}`,
  fundamental_V: `fundamental, ${RMS}`,
  noise_V: `what is neither fundamental nor harmonic, ${RMS}`,
  dc_V: 'direct voltage at the load',
  peak_V: 'highest instantaneous voltage at the load',
  crest_factor: 'peak over rms',
  thd_percent: 'harmonics 2 to 20 in the band, relative to the fundamental',
  thdr_percent: 'the same harmonics, relative to the root of the summed squares of fundamental and harmonics',
  thdn_percent: 'all in the band but the fundamental, relative to the total rms in the band',
  sinad_dB: 'inverse of the THD+N ratio',
  gain_dB: 'load volts over interface output volts',
  harmonics_in_band: 'how many of harmonics 2 to 20 lie in the band',
  voltage_uncertainty_V: `uncertainty of voltage_V, ${EXPANDED}`,
  thdn_uncertainty_percent: `uncertainty of thdn_percent, ${EXPANDED}`,
  current_A: 'rms current by the current shunt',
  load_seen_ohm: 'load by the current shunt',
  mains_V: 'mains voltage that the operator had set',
  cell: 'cell of a repetition',
  band_low_Hz: 'lower end of the measuring band',
  band_high_Hz: 'upper end of the measuring band',
  method: 'coherent: whole cycles; fitted: a sine fit, where the clocks differ',
  flags: 'what makes the figure doubtful, by code',
  gap_frames: 'frames at which the wave breaks',
  capture: 'file of the stored capture',
  ...HARMONICS,
  quantity: 'what the row is a figure of, by code',
  statistic: 'how the value came from the readings',
  bound: 'found; or at-least, at-most: the search ended at a limit',
  value: 'the figure, in the unit of value_unit, to six significant digits; intervals and causes in words',
  uncertainty: `of the value, ${EXPANDED}`,
  value_unit: 'unit of value and uncertainty',
  lines_Hz: 'frequencies played; of an extreme, where it lies',
  envelope: 'how loud the signal is over time: silence, steady or burst',
  threshold_percent: 'THD+N limit',
  weighting: 'A: A-weighted; none: unweighted',
  over_low_Hz: 'lower end of the frequencies that an extreme was looked for among',
  over_high_Hz: 'upper end of them',
  seconds: 'how long the level was held',
  bracket_dB: 'width of the final bracket, in power',
  from_W: 'lowest power tried',
  governed_by: 'what governs the plateau',
  deciding_channel: 'channel that decides a figure of all channels together',
  mains_Hz: 'mains frequency, of hum',
  captures: 'captures that the search took, all channels together',
  notes: 'why there is no value or only a bound, and what else belongs to it',
};
