import type { BandResult, KneeResult, PowerAtThdn } from '../../../record/old-results.js';
import type { RunRecord } from '../../../record/run-record.js';
import { formatQuantity } from '../../../units/format.js';
import { capital } from '../../model/capital.js';
import { drivenWords, powerWithin, statedOnly, uncertaintyWords } from '../../model/wording.js';
import { visibleText } from '../../text/visible-text.js';
import { html, type Markup } from '../markup.js';
import { figureOf, typeset } from '../typeset.js';
import { ceilingTables, foundTables } from './found-tables.js';
import { table } from './table.js';

/** What was found: ceilings, one row for each channel of each climb and of each sweep, then holds, sums, causes and probes. */
export function resultsTables(record: RunRecord): Markup {
  const marks = record.results.filter((result) => result.kind === 'power-at-thdn');
  const knees = record.results.filter((result) => result.kind === 'knee');
  const bands = record.results.filter((result) => result.kind === 'band');
  if (record.results.length === 0) return html`<p>This run ended before it had a result.</p>`;
  return html`${ceilingTables(record)}${marks.length > 0 && climbTable(marks, knees)}${bands.length > 0 && bandTable(bands)}${foundTables(record)}`;
}

const settingOf = ({ step, channel, load_ohm, driven }: PowerAtThdn | KneeResult | BandResult): string =>
  JSON.stringify([step, channel, load_ohm, driven]);

function climbTable(marks: readonly PowerAtThdn[], knees: readonly KneeResult[]): Markup {
  const thresholds = [...new Set(marks.map((mark) => mark.threshold_percent))].sort((a, b) => a - b);
  const settings = new Map(marks.map((mark) => [settingOf(mark), mark]));
  const kneeBySetting = new Map(knees.map((knee) => [settingOf(knee), knee]));
  const noted = notesOf(marks, ...knees) !== '';
  const rows = [...settings].map(([key, first]) => {
    const own = marks.filter((mark) => settingOf(mark) === key);
    const knee = kneeBySetting.get(key);
    return [
      `${visibleText(first.step)}, channel ${first.channel}`,
      ...thresholds.map((percent) => powerCell(own.find((mark) => mark.threshold_percent === percent))),
      knee?.power_W == null ? html`–` : powerFigure(knee.power_W, knee.uncertainty_W ?? null),
      plateauCell(knee),
      figureOf(knee?.hardness_dB ?? null, 'dB'),
      figureOf(first.frequency_Hz, 'Hz'),
      figureOf(first.load_ohm, 'ohm'),
      drivenWords(first.driven),
      ...(noted ? [typeset(visibleText(capital(notesOf(own, knee))))] : []),
    ];
  });
  const found = marks.filter((mark) => mark.power_W !== null);
  const uncertainty = uncertaintyWords([...found, ...knees.flatMap(statedOnly)]);
  return table(
    `Power at each THD+N, per channel${found.length > 0 ? ` (${uncertainty})` : ''}`,
    [
      { name: 'Step and channel' },
      ...thresholds.map((percent) => ({
        name: typeset(`Power at ${formatQuantity(percent, '%')}`),
        figures: true,
      })),
      { name: 'Knee', figures: true },
      { name: 'Plateau' },
      { name: 'Hardness', figures: true },
      { name: 'Frequency', figures: true },
      { name: 'Load', figures: true },
      { name: 'Driven' },
      ...(noted ? [{ name: 'Note' }] : []),
    ],
    rows,
  );
}

const notesOf = (marks: readonly PowerAtThdn[], ...knees: readonly (KneeResult | undefined)[]): string =>
  [...new Set([...marks, ...knees].map((result) => result?.note ?? ''))]
    .filter((note) => note !== '')
    .join('; ');

function powerCell(mark: PowerAtThdn | undefined): Markup {
  return mark === undefined || mark.power_W === null
    ? html`–`
    : powerFigure(mark.power_W, mark.uncertainty_W);
}

function powerFigure(power_W: number, uncertainty_W: number | null): Markup {
  return html`<data value="${power_W}">${typeset(powerWithin(power_W, uncertainty_W))}</data>`;
}

function plateauCell(knee: KneeResult | undefined): Markup {
  if (knee === undefined || knee.plateau_percent === null) return html`–`;
  return html`${figureOf(knee.plateau_percent, '%')}${knee.governed_by !== null && `, ${knee.governed_by}`}`;
}

/** A power as `uncertaintyWords` takes it, when it has an uncertainty. */
function bandTable(bands: readonly BandResult[]): Markup {
  const stated = bands.flatMap(({ least_power_uncertainty_W = null, budgets }) =>
    statedOnly({ uncertainty_W: least_power_uncertainty_W, ...(budgets && { budgets }) }),
  );
  return table(
    `Across the band: least power and most THD+N, per channel${stated.length > 0 ? ` (${uncertaintyWords(stated)})` : ''}`,
    [
      { name: 'Step and channel' },
      { name: 'Least power', figures: true },
      { name: 'at', figures: true },
      { name: 'Most THD+N', figures: true },
      { name: 'at', figures: true },
      { name: 'From', figures: true },
      { name: 'To', figures: true },
      { name: 'Load', figures: true },
      { name: 'Driven' },
    ],
    bands.map((band) => [
      `${visibleText(band.step)}, channel ${band.channel}`,
      powerFigure(band.least_power_W, band.least_power_uncertainty_W ?? null),
      figureOf(band.least_power_Hz, 'Hz'),
      figureOf(band.most_thdn_percent, '%'),
      figureOf(band.most_thdn_Hz, 'Hz'),
      figureOf(band.low_Hz, 'Hz'),
      figureOf(band.high_Hz, 'Hz'),
      figureOf(band.load_ohm, 'ohm'),
      drivenWords(band.driven),
    ]),
  );
}
