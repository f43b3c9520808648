import type { Conclusion } from '../../judgement/conclude/conclusion.js';
import { type Finding, numberOf } from '../../record/finding.js';
import type { RunRecord } from '../../record/run-record.js';
import { formatQuantity } from '../../units/format.js';
import { uncertainParts } from '../../units/format-uncertain.js';
import { spanned } from '../../units/listed.js';
import { frequencyWords } from '../../units/nominal-frequency.js';
import { oneLine } from '../../units/visible-text.js';
import type { Block, KeyFigure } from './block.js';
import { channelsOf, frequenciesOf, groupsBy, thresholdsOf } from './finding-groups.js';
import { BOUNDS, placeWords, uncertaintyWords, valueWords } from './finding-words.js';
import type { Ground } from './ground.js';
import { shownFindings } from './shown-findings.js';
import { channelWords } from './wording.js';

/** Settings of searches over the band that are shown at most. */
const MOST_SETTINGS = 2;

/** The few figures that a reader looks for first: power over the band, and the weakest channel of climb and sweep. */
export function keyFigures({ record, judged }: Pick<Ground, 'record' | 'judged'>): Block[] {
  const findings = shownFindings(record);
  const powers = findings.filter(({ quantity }) => quantity === 'max-power');
  const band = judged.conclusions.flatMap(bandFigures);
  const figures = [
    // A search that completes a sweep visits only the frequencies that the sweep left open: its span is no band.
    ...(band.length > 0
      ? band
      : searchFigures(powers.filter(({ setting }) => setting.step_kind === 'max-power'))),
    ...climbFigures(powers.filter(({ setting }) => setting.step_kind === 'climb')),
    ...sweepFigures(
      record,
      findings.filter(({ setting }) => setting.step_kind === 'sweep'),
    ),
  ];
  return figures.length === 0 ? [] : [{ kind: 'figures', figures }];
}

/** With most channels driven, which is what a unit is to be held to. */
function hardest(groups: readonly Finding[][]): Finding[][] {
  const most = Math.max(0, ...groups.map(([first]) => first!.setting.driven.length));
  return groups.filter(([first]) => first!.setting.driven.length === most);
}

const has = (finding: Finding): boolean => numberOf(finding) !== null;

const lowestOf = (found: readonly Finding[]): Finding =>
  found.reduce((a, b) => (numberOf(b)! < numberOf(a)! ? b : a));

const highestOf = (found: readonly Finding[]): Finding =>
  found.reduce((a, b) => (numberOf(b)! > numberOf(a)! ? b : a));

function searchFigures(powers: readonly Finding[]): KeyFigure[] {
  const groups = groupsBy(powers, ({ terms, setting }) => [
    terms.threshold_percent,
    setting.load_ohm,
    setting.driven,
    setting.mains_V,
  ]);
  return hardest(groups)
    .slice(0, MOST_SETTINGS)
    .flatMap((found) => {
      if (!found.some(has)) return [];
      const lowest = lowestOf(found.filter(has));
      const at = frequenciesOf(found);
      const gap = found.every(has) ? '' : '; not found at every frequency';
      return [
        figureOf(
          lowest,
          `${frequencyWords(at[0]!)} to ${frequencyWords(at.at(-1)!)} at ${limitWords(lowest)}`,
          [loadWords(lowest), `lowest at ${placeWords(lowest)}, channel ${lowest.setting.channel}${gap}`],
        ),
      ];
    });
}

/** The power over the whole band, as it was concluded. */
function bandFigures(one: Conclusion): KeyFigure[] {
  if (one.code !== 'full-band-power') return [];
  const { power, over_Hz, limit_percent, setting } = one;
  const parts = uncertainParts(power.power_W, power.uncertainty_W, 'W');
  return [
    {
      name: `${frequencyWords(over_Hz[0])} to ${frequencyWords(over_Hz[1])} at ${formatQuantity(limit_percent, '%')} THD+N`,
      value: `${BOUNDS[power.bound]}${parts?.value ?? formatQuantity(power.power_W, 'W')}`,
      below: [
        parts === null ? 'no uncertainty stated' : `± ${parts.within}`,
        formatQuantity(setting.load_ohm, 'ohm'),
        `limited at ${frequencyWords(power.nominal_Hz)}, channel ${power.channel}`,
      ].join(', '),
    },
  ];
}

const limitWords = ({ terms }: Finding): string =>
  `${formatQuantity(terms.threshold_percent ?? 0, '%')} THD+N`;

/** A figure with its uncertainty below it: both in one line are too long for large type. */
function figureOf(
  finding: Finding,
  name: string,
  below: readonly string[],
  unit: 'W' | '%' = 'W',
): KeyFigure {
  const parts = uncertainParts(numberOf(finding)!, finding.uncertainty, unit);
  const within =
    parts === null
      ? 'no uncertainty stated'
      : `± ${parts.within} (${uncertaintyWords([finding]).replace('U with ', '')})`;
  return {
    name,
    value: valueWords(finding).replace(/ ± .*$/, ''),
    below: [within, ...below].filter((words) => words !== '').join(', '),
  };
}

const loadWords = ({ setting }: Finding): string => formatQuantity(setting.load_ohm, 'ohm');

function climbFigures(powers: readonly Finding[]): KeyFigure[] {
  const groups = groupsBy(powers, ({ setting }) => [setting.step, setting.load_ohm, setting.driven]);
  const [found] = hardest(groups);
  if (!found) return [];
  return thresholdsOf(found).flatMap((limit) => {
    const own = found.filter(({ terms }) => terms.threshold_percent === limit);
    if (!own.some(has)) return [];
    const lowest = lowestOf(own.filter(has));
    const none = channelsOf(own.filter((one) => !has(one)));
    const rank = none.length > 0 ? `; none found on ${channelWords(none)}` : ' (lowest)';
    const who = lowest.setting.driven.length > 1 ? `channel ${lowest.setting.channel}${rank}` : '';
    return [figureOf(lowest, `${placeWords(lowest)} at ${limitWords(lowest)}`, [loadWords(lowest), who])];
  });
}

/** Of the sweep that requested most: a gentle one holds its level on any unit. */
function sweepFigures(record: RunRecord, findings: readonly Finding[]): KeyFigure[] {
  const steps = groupsBy(findings, ({ setting }) => [setting.step, setting.load_ohm]);
  const requested = (found: readonly Finding[]): number[] =>
    record.points
      .filter(
        ({ step, load_ohm }) => step === found[0]!.setting.step && load_ohm === found[0]!.setting.load_ohm,
      )
      .flatMap(({ asked_W }) => asked_W ?? []);
  const level = (found: readonly Finding[]) =>
    Math.max(0, ...requested(found), ...powersOf(found).map((one) => numberOf(one)!));
  const telling = steps.reduce<Finding[]>((a, b) => (a.length === 0 || level(b) > level(a) ? b : a), []);
  const [powers, thdn] = [powersOf(telling), telling.filter((one) => one.quantity === 'thdn' && has(one))];
  if (powers.length === 0 || thdn.length === 0) return [];
  const named = steps.length > 1 ? `, sweep ${oneLine(telling[0]!.setting.step, 40)}` : '';
  const [lowest, highest] = [lowestOf(powers), highestOf(thdn)];
  const where = (one: Finding) => `at ${placeWords(one)}, channel ${one.setting.channel}${named}`;
  return [
    figureOf(lowest, 'Lowest power of the sweep', [`${where(lowest)}${requestedWords(requested(telling))}`]),
    figureOf(highest, 'Highest THD+N of the sweep', [where(highest)], '%'),
  ];
}

const powersOf = (found: readonly Finding[]): Finding[] =>
  found.filter((one) => one.quantity === 'power' && one.statistic === 'minimum' && has(one));

/** Without it, the lowest power of a sweep at an eighth of the power looks like a unit that gives way. */
const requestedWords = (powers_W: readonly number[]): string =>
  powers_W.length === 0 ? '' : `; ${spanned(powers_W, (power_W) => formatQuantity(power_W, 'W'))} requested`;
