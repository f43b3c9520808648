import { html, type Insert, type Markup } from '../html/markup.js';
import { table } from '../html/sections/table.js';
import { typeset } from '../html/typeset.js';
import { benchKindWords } from '../model/bench-kind-words.js';
import { outcomeWords, timeWords } from '../model/wording.js';
import { oneLine, visibleText } from '../text/visible-text.js';
import type { Agreement } from './agreement.js';
import type { ComparedRun, Comparison } from './comparison.js';

const LONGEST = 120;

/** Who is compared, a row a run. */
export function runsTable(runs: readonly ComparedRun[]): Markup {
  const marked = runs.some(({ unlike }) => unlike.length > 0);
  const columns = ['Run', 'Unit', 'Made', 'Sequence', 'Bench', 'Outcome'];
  return table(
    'The runs compared',
    [...columns, ...(marked ? ['Unlike the first by'] : [])].map((name) => ({ name })),
    runs.map(({ record, unlike }) => [
      `run ${record.run}`,
      html`<bdi>${oneLine(record.unit.label, LONGEST)}</bdi>`,
      timeWords(visibleText(record.started)),
      html`<bdi>${oneLine(record.sequence.name, LONGEST)}</bdi>`,
      html`<bdi>${oneLine(record.bench.name, LONGEST)}</bdi> (${benchKindWords(record.bench.kind)})`,
      oneLine(outcomeWords(record), 200),
      ...(marked ? [unlike.length === 0 ? 'nothing' : unlike.join(', ').toLowerCase()] : []),
    ]),
  );
}

/** In what the protocols differ and how it matters; what agrees is named in a sentence. */
export function agreementSection(agreements: readonly Agreement[]): Markup {
  const differing = agreements.filter(({ state }) => state === 'differ');
  const alike = agreements.filter(({ state }) => state === 'agree').map(({ matter }) => matter.toLowerCase());
  const runs = agreements[0]?.values.map(({ run }) => run) ?? [];
  const columns = ['Condition', ...runs.map((run) => `Run ${run}`), 'How it matters'];
  return html`<section aria-labelledby="protocols"><h2 id="protocols">${differing.length === 0 ? 'The protocols agree' : 'Where the protocols differ'}</h2>
${alike.length > 0 && html`<p>Alike: ${alike.join(', ')}.</p>`}
${
  differing.length > 0 &&
  table(
    'Conditions that differ',
    columns.map((name) => ({ name })),
    differing.map(({ matter, values, effect }) => [
      matter,
      ...values.map(({ value }) => typeset(oneLine(value, 300))),
      typeset(effect),
    ]),
  )
}</section>
`;
}

/** The verdict on every claim of every run, side by side; nothing where no run has a claim. */
export function verdictsBeside(runs: readonly ComparedRun[]): Markup {
  if (runs.every(({ judged }) => judged.claims.length === 0 && judged.unreadable === null)) return html``;
  const columns = ['Run', 'Claim', 'Verdict', 'Because'].map((name) => ({ name }));
  return html`<section aria-labelledby="verdicts"><h2 id="verdicts">Verdicts</h2>
${table('Verdicts side by side', columns, runs.flatMap(verdictRows))}</section>
`;
}

function verdictRows({ record, judged }: ComparedRun): Insert[][] {
  const name = `run ${record.run}`;
  const rows: Insert[][] = judged.claims.map(({ text, verdict, stored }) => [
    name,
    html`<bdi>${typeset(oneLine(text, 200))}</bdi>${!stored && ' (brought along)'}`,
    verdict.verdict,
    typeset(oneLine(verdict.reason, 600)),
  ]);
  const claim = html`<bdi>${oneLine(record.claim ?? '', 200)}</bdi>`;
  if (judged.unreadable !== null) rows.push([name, claim, 'not read', oneLine(judged.unreadable, 300)]);
  return rows.length > 0 ? rows : [[name, 'none was given', 'none', '']];
}

/** What cancelled in the differences, so that a reader can judge whether it should have. */
export function cancelledSection({ compared }: Comparison): Markup {
  const pairs = new Map<string, Set<string>>();
  for (const { differences } of compared)
    for (const one of differences) {
      if (!one || one.basis === 'none') continue;
      const key = `Run ${one.run} to run ${one.to}`;
      const sources = pairs.get(key) ?? new Set();
      for (const source of one.cancelled) sources.add(source);
      pairs.set(key, sources);
    }
  if (pairs.size === 0) return html``;
  return html`<section aria-labelledby="cancelled"><h2 id="cancelled">What the runs share</h2>
<p>An error that moves both figures alike cancels in their ratio. Counted so is only what is proven to be one and the same: a calibration record, or a statement of a bench file, equal to the byte in both runs. All else counts in both.</p>
<dl class="shared">${[...pairs].map(
    ([pair, sources]) =>
      html`<dt>${pair}</dt><dd>${sources.size === 0 ? 'nothing' : [...sources].sort().map((source) => html`<span>${typeset(visibleText(source))}</span>`)}</dd>`,
  )}</dl></section>
`;
}

/** The sequences that were run, each once, and where the rest of each run is to be had. */
export function repeatSection(runs: readonly ComparedRun[]): Markup {
  const sequences = new Map<string, ComparedRun[]>();
  for (const run of runs) {
    const { sha256 } = run.record.sequence;
    sequences.set(sha256, [...(sequences.get(sha256) ?? []), run]);
  }
  const numbers = runs.map(({ record }) => record.run);
  return html`<section aria-labelledby="repeat"><h2 id="repeat">To repeat it</h2>
${[...sequences].map(([sha256, made]) => {
  const { name, text } = made[0]!.record.sequence;
  const title = `Sequence ${oneLine(name, LONGEST)}, of ${made.map(({ record }) => `run ${record.run}`).join(', ')}`;
  return html`<details class="paper"><summary>${title}</summary>
<p class="hash">sha256 <code>${sha256}</code></p>
<pre tabindex="0" role="region" aria-label="${title}">${visibleText(text)}</pre></details>
`;
})}<p>Readings, budgets, calibration and bench of each run: <code>ohmest report ${numbers[0]!} -o FILE</code> and so on for run ${numbers.slice(1).join(', ')}.</p></section>
`;
}
