import type { ChannelChain, CurrentTap, Load } from '../../calibration/chain.js';
import { loadVoltsPerUnit } from '../../calibration/chain.js';
import type { LoadReach } from '../../calibration/survey.js';
import { capital, channelWords } from '../../document/model/wording.js';
import { textTable } from '../../document/text/text-table.js';
import { wrapText } from '../../document/text/wrap-text.js';
import { formatQuantity } from '../../units/format.js';
import { groupBy } from '../../units/group-by.js';

/** Column in which what is said of each place begins. */
const SAID_AT = 19;

/** Groups what gives the same key, in the order of first use. */
export const grouped = <T>(items: readonly T[], keyOf: (item: T) => string): T[][] => [
  ...groupBy(items, keyOf).values(),
];

/** `1`, `1 and 2`, `1 to 8`. */
export const numberWords = (numbers: readonly number[]): string =>
  channelWords(numbers).replace(/^channels? /, '');

/** Channels may take turns at an input. */
const distinct = (numbers: readonly number[]): number[] => [...new Set(numbers)].sort((a, b) => a - b);

/** Peak volts as both, with the figures that calibration gives. */
function fullVolts(peak_V: number): string {
  const [rms, peak] = [peak_V / Math.SQRT2, peak_V].map((volts) =>
    formatQuantity(volts, 'V', { figures: 4 }),
  );
  return `${rms} rms, ${peak} peak`;
}

/** The way of the signal from converter to converter; channels that are alike are drawn once. ASCII only. */
export function chainText(channels: readonly ChannelChain[], gain_dB: number, width: number): string {
  return grouped(channels, (chain) => rowsOf([chain], gain_dB, false).join('\n'))
    .map((group) => {
      const title = capital(channelWords(group.map(({ channel }) => channel)));
      return [title, ...rowsOf(group, gain_dB, true).map((row) => wrapRow(row, width))].join('\n');
    })
    .join('\n\n');
}

/** Lines of a drawing: the place to the left, what is said of it to the right. */
function rowsOf(group: readonly ChannelChain[], gain_dB: number, numbered: boolean): string[] {
  const [chain] = group as [ChannelChain];
  const place = (word: string, numberOf: (of: ChannelChain) => number) =>
    numbered ? `${word} ${numberWords(distinct(group.map(numberOf)))}` : word;
  const { current } = chain;
  const shared = new Set(group.map(({ input }) => input)).size < group.length;
  const turns = shared ? ', taken in turns' : '';
  return [
    row(
      place('output', ({ output }) => output),
      `${fullVolts(chain.outputFullScale_Vpk)} at full scale`,
    ),
    '    |',
    row('unit', `gain assumed up to ${formatQuantity(gain_dB, 'dB')} until measured`),
    '    |',
    ...chain.loads.map((load) => row(`load ${formatQuantity(load.nominal_ohm, 'ohm')}`, loadWords(load))),
    ...(current ? [row('    |--- shunt', tapWords(current, group, numbered))] : []),
    row('    |', `${fullVolts(loadVoltsPerUnit(chain))} here drive the input to full scale`),
    row(
      `divide by ${formatQuantity(chain.attenuator_ratio, '1')}`,
      `attenuator, rated ${formatQuantity(chain.attenuatorRating_Vpk, 'V')} peak`,
    ),
    '    |',
    row(
      place('input', ({ input }) => input),
      `${fullVolts(chain.inputFullScale_Vpk)} at full scale${turns}`,
    ),
  ];
}

function loadWords({ measured_ohm, rating_W, shortRating_W }: Load): string {
  const short = shortRating_W > rating_W ? `, ${formatQuantity(shortRating_W, 'W')} for seconds` : '';
  return `${formatQuantity(measured_ohm, 'ohm')}, rated ${formatQuantity(rating_W, 'W')} continuous${short}`;
}

function tapWords(tap: CurrentTap, group: readonly ChannelChain[], numbered: boolean): string {
  const inputs = group.flatMap(({ current }) => (current ? [current.input] : []));
  const full = formatQuantity(tap.fullScale_Vpk / tap.shunt_ohm, 'A', { trim: false });
  const to = numbered ? ` to input ${numberWords(distinct(inputs))}` : '';
  return `${formatQuantity(tap.shunt_ohm, 'ohm')}${to}, full scale ${full} peak`;
}

/** A place that is longer than its column pushes what is said of it to the next line. */
function row(place: string, said: string): string {
  const start = `  ${place}`;
  return start.length < SAID_AT - 1
    ? `${start.padEnd(SAID_AT)}${said}`
    : `${start}\n${' '.repeat(SAID_AT)}${said}`;
}

function wrapRow(text: string, width: number): string {
  return text
    .split('\n')
    .map((line) => {
      const start = line.slice(0, SAID_AT);
      const said = line.slice(SAID_AT);
      if (said === '') return wrapText(line, width, ' '.repeat(4));
      return start + wrapText(said, width - SAID_AT).replaceAll('\n', `\n${' '.repeat(SAID_AT)}`);
    })
    .join('\n');
}

const volts = (rms_V: number) => `${formatQuantity(rms_V, 'V')} rms`;
const watts = (power_W: number) => formatQuantity(power_W, 'W');

/** Measuring range and ratings of each channel, a sine into each of its loads. */
export function reachText(reaches: readonly LoadReach[], width: number): string {
  const cells = (reach: LoadReach) => [
    formatQuantity(reach.load_ohm, 'ohm'),
    `${volts(reach.input_Vrms)}, ${watts(reach.input_W)}`,
    `${volts(reach.attenuator_Vrms)}, ${watts(reach.attenuator_W)}`,
    reach.short_W > reach.continuous_W
      ? `${watts(reach.continuous_W)} (${watts(reach.short_W)} short)`
      : watts(reach.continuous_W),
    `${watts(reach.most_W)} by the ${reach.decides}`,
    reach.uncertainty_percent === null ? 'not known' : formatQuantity(reach.uncertainty_percent, '%'),
  ];
  const rows = grouped(reaches, (reach) => cells(reach).join('\n')).map((group) => [
    numberWords(group.map(({ channel }) => channel)),
    ...cells(group[0]!),
  ]);
  const head = [
    'channel',
    'load',
    'input limit',
    'attenuator rating',
    'load rating',
    'maximum',
    'U at 1 kHz',
  ];
  return textTable(head, rows, [], width);
}
