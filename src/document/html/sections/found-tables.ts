import type { CeilingResult } from '../../../record/old-results.js';
import type { RunRecord } from '../../../record/run-record.js';
import { formatQuantity } from '../../../units/format.js';
import { capital } from '../../model/capital.js';
import { CONFIDENCE, causeEvidence, causePlace, causesInShort } from '../../model/cause-words.js';
import { type CeilingGroup, ceilingGroups, ceilingSetting, hasPower } from '../../model/ceiling-groups.js';
import { isDoubtful } from '../../model/doubtful.js';
import { probeRows } from '../../model/probe-rows.js';
import { drivenWords, powerWithin, uncertaintyBeside, uncertaintyWords } from '../../model/wording.js';
import { noneNotes } from '../../text/text-ceilings.js';
import { holdRow } from '../../text/text-found.js';
import { visibleText } from '../../text/visible-text.js';
import { html, type Markup } from '../markup.js';
import { figureOf, typeset } from '../typeset.js';
import { table } from './table.js';

/** Every ceiling of a run: one table a setting, a row a frequency, a column a channel. */
export function ceilingTables(record: RunRecord): Markup {
  return html`${ceilingGroups(record).map(ceilingTable)}`;
}

function ceilingTable(group: CeilingGroup): Markup {
  const found = [...group.channels.values()].flat().filter(hasPower);
  const stated = found.length > 0 ? ` (${uncertaintyWords(found)})` : '';
  const rows = group.nominals_Hz.map((nominal_Hz) => [
    figureOf(nominal_Hz, 'Hz'),
    ...[...group.channels.values()].map((results) =>
      ceilingCell(results.find((result) => result.nominal_Hz === nominal_Hz)),
    ),
  ]);
  const flagged = found.some(isDoubtful) && [html`<li>* Carries a flag: see the table of flags</li>\n`];
  const notes = noneNotes(group).map((note) => html`<li>${typeset(visibleText(capital(note)))}</li>\n`);
  return html`${table(
    typeset(`Most power at ${ceilingSetting(group)}${stated}`),
    [
      { name: 'Frequency', figures: true },
      ...[...group.channels.keys()].map((channel) => ({ name: `Channel ${channel}`, figures: true })),
    ],
    rows,
  )}${(notes.length > 0 || flagged) && html`<ul>${flagged}${notes}</ul>`}`;
}

/** Stands behind a figure that carries a flag: the words would make the table too wide for paper. */
const FLAGGED = '\u2009*';

function ceilingCell(result: CeilingResult | undefined): Markup {
  if (!result || !hasPower(result)) return html`–`;
  const { power_W, uncertainty_W, flags } = result;
  const power = formatQuantity(power_W, 'W');
  const within =
    uncertainty_W !== null &&
    html`<small> ${typeset(`± ${uncertaintyBeside(power, uncertainty_W)}`)}</small>`;
  return html`<data value="${power_W}">${typeset(power)}</data>${isDoubtful(result) && html`<abbr title="${flags.join(', ')}">${FLAGGED}</abbr>`}${within}`;
}

/** Holds, sums, causes and probes of a run, each as a table where there are any. */
export function foundTables(record: RunRecord): Markup {
  return html`${causeTable(record)}${holdTable(record)}${sumTable(record)}${probeTable(record)}`;
}

function causeTable({ results }: RunRecord): Markup {
  const causes = results.filter((result) => result.kind === 'cause');
  if (causes.length === 0) return html``;
  return html`${table(
    'Why power falls short',
    [{ name: 'At' }, { name: 'Cause' }, { name: 'Evidence' }],
    causes.map((result) => [
      typeset(causePlace(result)),
      causesInShort(result),
      typeset(visibleText(capital(causeEvidence(result).join('; ')))),
    ]),
  )}<p>${CONFIDENCE}</p>`;
}

function holdTable({ results }: RunRecord): Markup {
  const holds = results.filter((result) => result.kind === 'hold');
  if (holds.length === 0) return html``;
  const names = ['First', 'Last', 'Change', 'Least', 'Deepest dip', 'Most THD+N', 'Most DC'];
  return table(
    'Levels held over time, at constant drive',
    [
      { name: 'Step and channel' },
      ...names.map((name) => ({ name, figures: true })),
      { name: 'Load', figures: true },
      { name: 'Driven' },
      { name: 'Note' },
    ],
    holds.map((hold) => [
      `${visibleText(hold.step)}, channel ${hold.channel}`,
      ...holdRow(hold).slice(1).map(typeset),
      figureOf(hold.load_ohm, 'ohm'),
      drivenWords(hold.driven),
      typeset(visibleText(capital(hold.note))),
    ]),
  );
}

function sumTable({ results }: RunRecord): Markup {
  const sums = results.filter((result) => result.kind === 'sum');
  if (sums.length === 0) return html``;
  return table(
    'All driven channels together, where the first of them reaches the threshold',
    [
      { name: 'Step' },
      { name: 'THD+N', figures: true },
      { name: 'Power', figures: true },
      { name: 'Reached first by' },
      { name: 'Load', figures: true },
      { name: 'Driven' },
      { name: 'Note' },
    ],
    sums.map((sum) => [
      visibleText(sum.step),
      typeset(formatQuantity(sum.threshold_percent, '%')),
      sum.power_W === null ? '–' : typeset(powerWithin(sum.power_W, sum.uncertainty_W)),
      sum.first_channel === null ? '–' : `channel ${sum.first_channel}`,
      figureOf(sum.load_ohm, 'ohm'),
      drivenWords(sum.driven),
      typeset(visibleText(capital(sum.note))),
    ]),
  );
}

function probeTable(record: RunRecord): Markup {
  const rows = probeRows(record);
  if (rows.length === 0) return html``;
  const names = ['First', 'Least', 'Most', 'Last', 'Samples', 'Without a value'];
  return table(
    'Probes sampled beside the signal',
    [{ name: 'Probe' }, ...names.map((name) => ({ name, figures: true }))],
    rows.map(({ name, first, least, most, last, samples, missing }) => [
      name,
      ...[first, least, most, last].map(typeset),
      samples,
      missing,
    ]),
  );
}
