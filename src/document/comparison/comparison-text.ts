import picocolors from 'picocolors';
import { outcomeWords, timeWords } from '../model/wording.js';
import type { TextOptions } from '../text/render-blocks.js';
import { oneLine } from '../text/visible-text.js';
import { wrapText } from '../text/wrap-text.js';
import type { Agreement } from './agreement.js';
import { ceilingsInShort } from './ceilings-in-short.js';
import type { ComparedRun, Comparison } from './comparison.js';
import { ceilingRows, figureGroups, summaryRows } from './figure-groups.js';
import { groupText } from './group-text.js';
import { ALONE_WORDS, aloneLines, DIFFERENCE_WORDS } from './remarks.js';

/** Several runs side by side for a terminal: who they are, in what their protocols differ, verdicts, differences. */
export function comparisonText(comparison: Comparison, options: TextOptions): string {
  const width = Math.min(120, Math.max(60, options.width));
  const { bold, yellow } = picocolors.createColors(options.colour);
  const { runs, compared, alone } = comparison;
  const groups = figureGroups(summaryRows(compared));
  const ceilings = ceilingRows(compared).flatMap(ceilingsInShort);
  const lines = (all: readonly string[]) => all.map((line) => wrapText(oneLine(line, 600), width, '  '));
  const paragraphs = [
    [bold('Runs'), ...runs.flatMap((run) => runLines(run, width, yellow))].join('\n'),
    agreementText(comparison.agreement, width, bold),
    verdictText(runs, width, bold),
    compared.length === 0
      ? wrapText('The runs share no figure: there is nothing to subtract.', width)
      : [bold(`Differences to run ${runs[0]!.record.run}`), wrapText(DIFFERENCE_WORDS, width)].join('\n'),
    ...groups.map((group) => groupText(group, width, bold)),
    ceilings.length === 0 ? '' : [bold('Ceilings, frequency by frequency'), ...lines(ceilings)].join('\n'),
    alone.length === 0 ? '' : [bold(ALONE_WORDS), ...lines(aloneLines(alone))].join('\n'),
  ];
  return paragraphs.filter((paragraph) => paragraph !== '').join('\n\n');
}

type Style = (text: string) => string;

function runLines({ record, unlike }: ComparedRun, width: number, warn: Style): string[] {
  const { run, unit, started, sequence, bench } = record;
  const lines = [
    `run ${run}  ${oneLine(unit.label, width - 12)}`,
    `  ${timeWords(started)}, ${oneLine(sequence.name, 60)}, on ${oneLine(bench.name, 60)}`,
  ];
  const warnings = [
    ...(record.outcome === 'completed' ? [] : [outcomeWords(record)]),
    ...(unlike.length === 0 ? [] : [`unlike the first by: ${unlike.join(', ').toLowerCase()}`]),
  ];
  return [
    ...lines.map((line) => wrapText(line, width, '  ')),
    ...warnings.map((text) => warn(wrapText(`  ${oneLine(text, 300)}`, width, '  '))),
  ];
}

function agreementText(agreements: readonly Agreement[], width: number, bold: Style): string {
  const same = agreements.filter(({ state }) => state === 'agree').map(({ matter }) => matter.toLowerCase());
  const differing = agreements.filter(({ state }) => state === 'differ');
  const lines = differing.flatMap(({ matter, values, effect }) => [
    `${matter}`,
    ...values.map(({ run, value }) => wrapText(`  run ${run}: ${oneLine(value, 300)}`, width, '    ')),
    wrapText(`  so: ${effect}`, width, '    '),
  ]);
  const agree = same.length === 0 ? [] : [wrapText(`Alike: ${same.join(', ')}.`, width, '  ')];
  const head = differing.length === 0 ? 'The protocols agree' : 'The protocols differ';
  return [bold(head), ...agree, ...lines].join('\n');
}

function verdictText(runs: readonly ComparedRun[], width: number, bold: Style): string {
  const lines = runs.flatMap(({ record, judged }) => [
    ...judged.claims.map(
      ({ text, verdict }) => `run ${record.run}: ${verdict.verdict} (claim: ${text}). ${verdict.reason}`,
    ),
    ...(judged.unreadable === null ? [] : [`run ${record.run}: its claim cannot be read`]),
  ]);
  if (lines.length === 0) return '';
  return [bold('Verdicts'), ...lines.map((line) => wrapText(oneLine(line, 600), width, '  '))].join('\n');
}
