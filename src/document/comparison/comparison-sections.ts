import { groupBy } from '../../units/group-by.js';
import { oneLine, visibleText } from '../../units/visible-text.js';
import type { Section, TableCell } from '../model/block.js';
import { details, pairs, section, table, text } from '../model/make-blocks.js';
import { outcomeWords, timeWords } from '../model/wording.js';
import type { Agreement } from './agreement.js';
import type { ComparedRun, Comparison } from './comparison.js';
import { differenceSection } from './difference-section.js';

const LONGEST = 120;

/** A comparison, section by section, without its charts. */
export const comparisonSections = (comparison: Comparison): Section[] => [
  runSection(comparison.runs),
  agreementSection(comparison.agreement),
  ...verdictSection(comparison.runs),
  differenceSection(comparison),
];

/** Who is compared, a row a run. */
function runSection(runs: readonly ComparedRun[]): Section {
  const marked = runs.some(({ unlike }) => unlike.length > 0);
  const mark = marked ? ['Unlike the first by'] : [];
  const given = (words: string): TableCell => ({ text: oneLine(words, LONGEST), given: true });
  const rows = runs.map(({ record, unlike }): TableCell[] => [
    `run ${record.run}`,
    given(record.unit.label),
    timeWords(visibleText(record.started)),
    given(record.sequence.name),
    given(record.bench.name),
    oneLine(outcomeWords(record), 200),
    ...(marked ? [unlike.length === 0 ? 'nothing' : unlike.join(', ').toLowerCase()] : []),
  ]);
  const columns = ['Run', 'Unit', 'Made', 'Sequence', 'Bench', 'Outcome', ...mark];
  return section('runs', 'Runs', [table('Runs', columns, rows)]);
}

/** In what the protocols differ and how it matters; what agrees is named in a sentence. */
function agreementSection(agreements: readonly Agreement[]): Section {
  const differing = agreements.filter(({ state }) => state === 'differ');
  const alike = agreements.filter(({ state }) => state === 'agree').map(({ matter }) => matter);
  const runs = agreements[0]?.values.map(({ run }) => run) ?? [];
  const columns = ['Condition', ...runs.map((run) => `Run ${run}`), 'How it matters'];
  const rows = differing.map(({ matter, values, effect }) => [
    matter,
    ...values.map(({ value }) => oneLine(value, 300)),
    effect,
  ]);
  const title = rows.length === 0 ? 'The protocols agree' : 'Where the protocols differ';
  return section('protocols', title, [
    ...(alike.length > 0 ? [text(`Alike: ${alike.join(', ')}.`)] : []),
    ...(rows.length > 0 ? [table('Conditions that differ', columns, rows)] : []),
  ]);
}

/** The verdict on every claim of every run, side by side; nothing where no run has a claim. */
function verdictSection(runs: readonly ComparedRun[]): Section[] {
  if (runs.every(({ judged }) => judged.claims.length === 0 && judged.unreadable === null)) return [];
  const columns = ['Run', 'Claim', 'Verdict', 'Because'];
  return [section('verdicts', 'Verdicts', [table('Verdicts', columns, runs.flatMap(verdictRows))])];
}

function verdictRows({ record, judged }: ComparedRun): TableCell[][] {
  const name = `run ${record.run}`;
  const rows = judged.claims.map(({ text: words, verdict, stored }): TableCell[] => [
    name,
    `${oneLine(words, 200)}${stored ? '' : ' (supplied after the run)'}`,
    verdict.verdict,
    oneLine(verdict.reason, 600),
  ]);
  const claim: TableCell = { text: oneLine(record.claim ?? '', 200), given: true };
  if (judged.unreadable !== null) rows.push([name, claim, 'not read', oneLine(judged.unreadable, 300)]);
  return rows.length > 0 ? rows : [[name, 'none', 'none', '']];
}

/** What cancelled in the differences, so that a reader can judge whether it should have. */
export function cancelledSection({ compared }: Comparison): Section[] {
  const pairsOfRuns = new Map<string, Set<string>>();
  for (const { differences } of compared)
    for (const one of differences) {
      if (!one || one.basis === 'none') continue;
      const key = `Run ${one.run} to run ${one.to}`;
      const sources = pairsOfRuns.get(key) ?? new Set();
      for (const source of one.cancelled) sources.add(source);
      pairsOfRuns.set(key, sources);
    }
  if (pairsOfRuns.size === 0) return [];
  const rows = [...pairsOfRuns].map(([pair, sources]) => [
    pair,
    sources.size === 0 ? 'nothing' : [...sources].sort().join('\n'),
  ]);
  const shared =
    'An error that moves both figures alike cancels in their ratio. Only what is proven to be the same counts: a calibration record, or a value in the bench file, identical in both runs.';
  return [
    section('cancelled', 'What the runs share', [
      text(shared),
      pairs('Errors that cancel', rows, ['Runs', 'Shared errors']),
    ]),
  ];
}

/** The sequences that were run, each once, and where the rest of each run is to be had. */
export function repeatSection({ runs }: Comparison): Section {
  const sequences = groupBy(runs, ({ record }) => record.sequence.sha256);
  const numbers = runs.map(({ record }) => record.run);
  return section('repeat', 'To repeat it', [
    ...[...sequences].map(([sha256, made]) => {
      const { name, text: words } = made[0]!.record.sequence;
      const of = made.map(({ record }) => `run ${record.run}`).join(', ');
      return details(`Sequence ${oneLine(name, LONGEST)}, of ${of}`, [
        text(`sha256 ${sha256}`, 'small'),
        { kind: 'verbatim', text: words },
      ]);
    }),
    text(
      `Readings, budgets, calibration and bench of each run: ohmest report ${numbers[0]!} -o FILE, and so on for run ${numbers.slice(1).join(', ')}.`,
    ),
  ]);
}
