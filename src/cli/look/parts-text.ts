import type { CalibratedPart } from '../../calibration/calibrated-parts.js';
import type { BenchSurvey } from '../../calibration/survey.js';
import { textTable } from '../../document/text/text-table.js';
import { wrapText } from '../../document/text/wrap-text.js';
import { formatQuantity } from '../../units/format.js';
import { oneLine } from '../../units/visible-text.js';
import { grouped, numberWords } from './bench-text.js';

/** What every figure of a bench rests on: its uncertainty, its source, when its calibration is due. */
export function partsText(parts: readonly CalibratedPart[], width: number): string {
  const cells = (part: CalibratedPart) => [
    knownWords(part),
    sourceWords(part),
    part.record?.date ?? '',
    endWords(part),
  ];
  const rows = grouped(parts, (part) => [part.kind, part.load_ohm, ...cells(part)].join('\n')).map(
    (group) => [
      partWords(
        group[0]!,
        group.flatMap(({ channel }) => (channel === null ? [] : [channel])),
      ),
      ...cells(group[0]!),
    ],
  );
  return textTable(['part, channel', 'U', 'source', 'calibrated', 'due'], rows, [], width);
}

/** The kind as records name it: short enough for eight channels' parts to stay within 80 columns. */
function partWords({ kind, load_ohm }: CalibratedPart, channels: readonly number[]): string {
  const load = load_ohm === null ? '' : `, ${formatQuantity(load_ohm, 'ohm')}`;
  return `${kind}${channels.length > 0 ? ` ${numberWords(channels)}` : ''}${load}`;
}

function knownWords(part: CalibratedPart): string {
  const { kind, expanded_percent, coverage_factor, expanded_dB, limits_dB, limits_ppm, thdn_percent } = part;
  if (expanded_percent !== null) {
    const known = formatQuantity(expanded_percent, '%', { figures: 2 });
    return coverage_factor! > 2.05 ? `${known} (k = ${coverage_factor!.toFixed(1)})` : known;
  }
  if (expanded_dB !== null) return formatQuantity(expanded_dB, 'dB', { figures: 2 });
  if (limits_dB !== null) return `flat within ${formatQuantity(limits_dB, 'dB')}`;
  if (limits_ppm !== null) return `within ${formatQuantity(limits_ppm, 'ppm')}`;
  if (kind === 'floor' && thdn_percent !== null) return `THD+N ${formatQuantity(thdn_percent, '%')}`;
  return 'not stated';
}

function sourceWords(part: CalibratedPart): string {
  if (part.record) return oneLine(part.record.id, 80);
  return knownWords(part) === 'not stated' ? 'none' : 'bench file';
}

function endWords({ record, overdue }: CalibratedPart): string {
  if (!record) return '';
  if (overdue) return `${record.due}: OVERDUE`;
  return record.due ?? 'never';
}

const DAY_ms = 24 * 3600 * 1000;

/** What is past its time and until when the rest holds, in sentences. */
export function dueText(found: BenchSurvey, day: string, bench: string, width: number): string {
  const overdue = found.parts.filter((part) => part.overdue);
  const sentences = overdue.map((part) => {
    const { record, kind, channel } = part;
    const days = Math.round((Date.parse(day) - Date.parse(record!.due!)) / DAY_ms);
    const what = partWords(part, channel === null ? [] : [channel]);
    const again =
      kind === 'shunt' || kind === 'clock'
        ? ''
        : ` Measure again: ohmest calibrate ${kind} --bench ${oneLine(bench, 200)}`;
    return `The calibration of ${what} is overdue by ${days} day${days === 1 ? '' : 's'} (record ${oneLine(record!.id, 80)}).${again}`;
  });
  if (found.holdsUntil !== null)
    sentences.push(`${overdue.length > 0 ? 'Next calibration' : 'Calibration'} due ${found.holdsUntil}.`);
  return sentences.map((sentence) => wrapText(sentence, width, '  ')).join('\n');
}
