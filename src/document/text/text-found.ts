import type { HoldResult, SumResult } from '../../record/old-results.js';
import type { RunRecord } from '../../record/run-record.js';
import { decibelsOfPower } from '../../units/decibel.js';
import { formatDuration, formatQuantity } from '../../units/format.js';
import { CONFIDENCE, causeEvidence, causePlace, causesInShort } from '../model/cause-words.js';
import { probeRows } from '../model/probe-rows.js';
import { drivenWords, powerWithin, settingWords } from '../model/wording.js';
import { textTable } from './text-table.js';
import { oneLine } from './visible-text.js';
import { wrapText } from './wrap-text.js';

type Style = (text: string) => string;

/** How each level stood over its time, for a terminal. */
export function holdTexts({ results }: RunRecord, width: number, bold: Style): string[] {
  const holds = results.filter((result) => result.kind === 'hold');
  const steps = [...new Set(holds.map(({ step }) => step))];
  return steps.map((step) => {
    const own = holds.filter((hold) => hold.step === step);
    const { load_ohm, driven, frequency_Hz, seconds } = own[0]!;
    const title = `${oneLine(step, 40)}: held for ${formatDuration(seconds)}, ${settingWords(load_ohm, driven, frequency_Hz)}`;
    const head = ['channel', 'first', 'last', 'change', 'least', 'dip', 'THD+N', 'DC'];
    const notes = own
      .filter(({ note }) => note !== '')
      .map(({ channel, note }) => `channel ${channel}: ${note}`);
    return [
      bold(wrapText(title, width)),
      textTable(
        head,
        own.map(holdRow),
        head.map((_, i) => i),
        width,
      ),
      ...notes.map((note) => wrapText(oneLine(note, 400), width, '  ')),
    ].join('\n');
  });
}

/** A hold as figures: first and last level, change, least, deepest dip, most THD+N and DC. */
export function holdRow(hold: HoldResult): string[] {
  return [
    String(hold.channel),
    formatQuantity(hold.first_W, 'W'),
    formatQuantity(hold.last_W, 'W'),
    `${decibelsOfPower(hold.last_W / hold.first_W).toFixed(2)} dB`,
    formatQuantity(hold.least_W, 'W'),
    `${hold.dip_dB.toFixed(2)} dB`,
    formatQuantity(hold.most_thdn_percent, '%'),
    formatQuantity(hold.most_dc_V, 'V', { figures: 2 }),
  ];
}

/** What all driven channels give together, one line a threshold. */
export function sumText({ results }: RunRecord, width: number, bold: Style): string {
  const sums = results.filter((result) => result.kind === 'sum');
  if (sums.length === 0) return '';
  return [
    bold('All driven channels together'),
    ...sums.map((sum) => wrapText(sumWords(sum), width, '  ')),
  ].join('\n');
}

/** `climb: 1.02 kW ± 10 W at 0.1 % THD+N, 8 ohm, channels 1 to 8 driven, reached first by channel 3`. */
export function sumWords(sum: SumResult): string {
  const at = `at ${formatQuantity(sum.threshold_percent, '%')} THD+N`;
  const power = sum.power_W === null ? 'no power found' : powerWithin(sum.power_W, sum.uncertainty_W);
  const first = sum.first_channel === null ? '' : `, reached first by channel ${sum.first_channel}`;
  const note = sum.note === '' ? '' : ` (${oneLine(sum.note, 200)})`;
  return `${oneLine(sum.step, 40)}: ${power} ${at}, ${formatQuantity(sum.load_ohm, 'ohm')}, ${drivenWords(sum.driven)}${first}${note}`;
}

/** Why power falls short, place by place, with the evidence. */
export function causeText({ results }: RunRecord, width: number, bold: Style): string {
  const causes = results.filter((result) => result.kind === 'cause');
  if (causes.length === 0) return '';
  const lines = causes.flatMap((result) => [
    wrapText(`${causePlace(result)}: ${causesInShort(result)}`, width),
    ...causeEvidence(result).map((sentence) => wrapText(`  ${oneLine(sentence, 400)}`, width, '    ')),
  ]);
  return [bold('Why power falls short'), ...lines, wrapText(CONFIDENCE, width)].join('\n');
}

/** What was sampled beside the signal. */
export function probeText(record: RunRecord, width: number, bold: Style): string {
  const rows = probeRows(record);
  if (rows.length === 0) return '';
  const head = ['probe', 'first', 'least', 'most', 'last', 'samples', 'without a value'];
  const cells = rows.map((row) => [
    row.name,
    row.first,
    row.least,
    row.most,
    row.last,
    String(row.samples),
    String(row.missing),
  ]);
  return [bold('Probes'), textTable(head, cells, [1, 2, 3, 4, 5, 6], width)].join('\n');
}

/** Where the run came from, under which permit it stood, and where it was resumed. */
export function courseLines({ origin, permit, sessions }: RunRecord, width: number): string[] {
  const lines = [
    ...(origin ? [originWords(origin)] : []),
    ...(permit ? [permitWords(permit)] : []),
    ...sessions.map((session) => sessionWords(session)),
  ];
  return lines.map((line) => wrapText(oneLine(line, 400), width, '  '));
}

export const originWords = ({ run, identity, imported }: NonNullable<RunRecord['origin']>): string =>
  `imported on ${dayOf(imported)}; run ${run} in the database that it was made into, identity ${identity.slice(0, 12)}`;

export const permitWords = ({ id, by, signed, expires }: NonNullable<RunRecord['permit']>): string =>
  `unattended under permit ${id}, signed by ${by} on ${dayOf(signed)}, valid until ${dayOf(expires)}`;

export const sessionWords = ({
  number,
  started,
  first_point,
  before,
  permit,
}: RunRecord['sessions'][number]): string =>
  `session ${number} resumed the run at point ${first_point} on ${dayOf(started)}${permit ? ` under permit ${permit}` : ''}; the session before was ${before}`;

const dayOf = (moment: string): string => moment.replace(/^(\S{10})T(\S{5}).*$/, '$1 $2 UTC');
