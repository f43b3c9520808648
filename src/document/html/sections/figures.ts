import type { Reading } from '../../../record/run-record.js';
import { formatQuantity } from '../../../units/format.js';
import { chosenSpectra } from '../../chart/chosen-spectra.js';
import { climbChart, kneeOf, weakestOf } from '../../chart/climb-chart.js';
import { plateauWords, TREND_WORDS } from '../../chart/climb-plateau.js';
import { type CurveGroup, curveGroups } from '../../chart/curves.js';
import { figure } from '../../chart/figure.js';
import { HOLLOW, isDoubtful } from '../../chart/series.js';
import { spectrumChart } from '../../chart/spectrum-chart.js';
import { sweepPowerChart, sweepThdnChart } from '../../chart/sweep-chart.js';
import { claimedPowers } from '../../model/claimed-powers.js';
import { isClearKnee, kneePlace } from '../../model/clear-knee.js';
import type { FigureGround } from '../../model/figure-ground.js';
import { channelWords, settingWords } from '../../model/wording.js';
import { visibleText } from '../../text/visible-text.js';
import { html, type Markup } from '../markup.js';
import { typeset } from '../typeset.js';
import { ceilingFigures } from './ceiling-figures.js';
import { holdFigures, probeFigures } from './hold-figures.js';

/** All charts of a run, those over the whole band first. */
export function figures(ground: FigureGround): Markup {
  const records = [ground.record];
  const climbs = curveGroups(records, 'climb');
  const drawn = [
    ...ceilingFigures(ground),
    ...climbs.map((group, i) => climbFigure(ground, group, `climb-${i + 1}`, climbs)),
    ...curveGroups(records, 'sweep').flatMap((group, i) => sweepFigures(ground, group, `sweep-${i + 1}`)),
    ...holdFigures(ground.record),
    ...probeFigures(ground.record),
    ...spectraOf(ground, climbs),
  ];
  if (drawn.length === 0) return html`<p>No reading was taken, so there is nothing to draw.</p>`;
  return html`<section aria-labelledby="charts"><h2 id="charts" class="unseen">Charts</h2><div class="figures">${drawn}</div></section>`;
}

const namesOf = (group: CurveGroup): string[] => group.curves.map((curve) => curve.label);

function captionOf(group: CurveGroup, words: string): string {
  const readings = group.curves.flatMap((curve) => curve.readings);
  return typeset(readings.some(isDoubtful) ? `${words} ${HOLLOW}` : words);
}

/** More climbs than this stand side by side. */
const FEW_CLIMBS = 2;

function climbFigure(
  { record, judged, floorAt }: FigureGround,
  group: CurveGroup,
  id: string,
  climbs: readonly CurveGroup[],
): Markup {
  const { load_ohm, driven, nominal_Hz } = group;
  const place = { load_ohm, driven, limit_percent: null, frequency_Hz: nominal_Hz };
  const claims = claimedPowers(record, judged, place);
  const words = captionOf(group, climbWords(group));
  return figure({
    id,
    title: typeset(`THD+N against power: ${climbName(group, climbs)}`),
    words,
    curves: namesOf(group),
    span: climbs.length > FEW_CLIMBS ? 'half' : 'full',
    draw: (size) => climbChart(group, id, words, size, { claims, floorAt }),
  });
}

/** The setting of a climb, with its step where another one has the same setting. */
function climbName(group: CurveGroup, climbs: readonly CurveGroup[]): string {
  const words = ({ load_ohm, driven, nominal_Hz }: CurveGroup) => settingWords(load_ohm, driven, nominal_Hz);
  const alike = climbs.filter((one) => words(one) === words(group));
  return alike.length > 1 ? `${visibleText(group.step)}, ${words(group)}` : words(group);
}

/** The curve in words, for those who cannot see it: its ends, its least, its crossings. */
function climbWords(group: CurveGroup): string {
  const readings = group.curves.flatMap((curve) => curve.readings);
  const byPower = readings.toSorted((a, b) => a.power_W - b.power_W);
  const least = readings.reduce((best, reading) =>
    reading.thdn_percent < best.thdn_percent ? reading : best,
  );
  const found = group.curves
    .flatMap((curve) => curve.results)
    .filter((result) => result.kind === 'power-at-thdn');
  const crossings = [...new Set(found.map((result) => result.threshold_percent))].map((percent) => {
    const powers = found
      .filter((result) => result.threshold_percent === percent)
      .map((result) => result.power_W)
      .filter((power_W) => power_W !== null);
    return powers.length === 0
      ? `${formatQuantity(percent, '%')} is not crossed`
      : `${formatQuantity(percent, '%')} is crossed at ${rangeWords(powers)}`;
  });
  const start = `From ${formatQuantity(byPower[0]!.power_W, 'W')} to ${formatQuantity(byPower.at(-1)!.power_W, 'W')}, ${channelsOf(group)}.`;
  const low = `The least THD+N is ${formatQuantity(least.thdn_percent, '%')}, at ${formatQuantity(least.power_W, 'W')}.`;
  const rings = found.some(({ power_W }) => power_W !== null) ? ' (rings)' : '';
  const marks = crossings.length === 0 ? '' : ` ${crossings.join('; ')}${rings}.`;
  const within = readings.some(({ thdn_uncertainty_percent: one }) => one !== null)
    ? ' Shaded: expanded uncertainty.'
    : '';
  return `${start} ${low}${marks}${kneeSentence(group)}${within}`;
}

/** The knee and the plateau of the curve that gives way first. */
function kneeSentence({ curves }: CurveGroup): string {
  const weakest = weakestOf(curves);
  const knee = weakest && kneeOf(weakest);
  if (weakest === null || !knee || knee.power_W === null) return '';
  if (!isClearKnee(knee)) return ` There is ${kneePlace(knee)}.`;
  const plateau = plateauWords(knee).map(
    (words) => `, end of the ${words.replace(/, (\w+)$/, ' governed by $1')}`,
  );
  return ` The knee (lozenge) lies at ${formatQuantity(knee.power_W, 'W')}${plateau.join('')}.${TREND_WORDS}`;
}

function rangeWords(powers_W: readonly number[]): string {
  const [low, high] = [Math.min(...powers_W), Math.max(...powers_W)].map((power_W) =>
    formatQuantity(power_W, 'W'),
  );
  return low === high ? low! : `${low} to ${high}`;
}

const channelsOf = (group: CurveGroup): string =>
  channelWords([...new Set(group.curves.map((curve) => curve.channel))].sort((a, b) => a - b));

function sweepFigures({ floorAt }: FigureGround, group: CurveGroup, id: string): Markup[] {
  const setting = `${visibleText(group.step)}, ${settingWords(group.load_ohm, group.driven)}`;
  const readings = group.curves.flatMap((curve) => curve.readings);
  const byThdn = readings.toSorted((a, b) => a.thdn_percent - b.thdn_percent);
  const byPower = readings.toSorted((a, b) => a.power_W - b.power_W);
  const thdn = captionOf(
    group,
    `THD+N is least ${placeWords(byThdn[0]!)} and most ${placeWords(byThdn.at(-1)!)}.`,
  );
  const power = captionOf(
    group,
    `Power is least ${placeWords(byPower[0]!)} and most ${placeWords(byPower.at(-1)!)}.`,
  );
  const common = { curves: namesOf(group), span: 'half' as const };
  return [
    figure({
      id: `${id}-thdn`,
      title: typeset(`THD+N against frequency: ${setting}`),
      words: thdn,
      ...common,
      draw: (size) => sweepThdnChart(group, `${id}-thdn`, thdn, size, floorAt),
    }),
    figure({
      id: `${id}-power`,
      title: typeset(`Power against frequency: ${setting}`),
      words: power,
      ...common,
      draw: (size) => sweepPowerChart(group, `${id}-power`, power, size),
    }),
  ];
}

const placeWords = ({ frequency_Hz, power_W, thdn_percent, channel }: Reading): string =>
  `at ${formatQuantity(frequency_Hz, 'Hz', { figures: 3 })} (${formatQuantity(power_W, 'W')}, ${formatQuantity(thdn_percent, '%')}, channel ${channel})`;

/** Spectra of more climbs than this would fill the page: then those of the last, with most channels driven. */
const MOST_SPECTRA_OF = 3;

function spectraOf(ground: FigureGround, climbs: readonly CurveGroup[]): Markup[] {
  const most = Math.max(0, ...climbs.map(({ driven }) => driven.length));
  const shown =
    climbs.length > MOST_SPECTRA_OF
      ? climbs.filter(({ driven }) => driven.length === most).slice(0, MOST_SPECTRA_OF)
      : climbs;
  return shown.flatMap((group, i) => spectrumFigures(ground, group, `spectrum-${i + 1}`));
}

function spectrumFigures({ floorAt }: FigureGround, group: CurveGroup, id: string): Markup[] {
  return chosenSpectra(group).map(({ reading, label, why }, i) => {
    const figureId = `${id}-${i + 1}`;
    const power = formatQuantity(reading.power_W, 'W');
    const floor = floorAt(reading);
    const bench =
      floor === null
        ? 'What the bench adds by itself was not stated.'
        : 'Level lines: all of the band but the fundamental together, of the reading and of the bench by itself.';
    const words = typeset(
      `${label} at ${power} into ${formatQuantity(reading.load_ohm, 'ohm')}: THD+N ${formatQuantity(reading.thdn_percent, '%')}, THD ${reading.thd_percent === null ? 'none' : formatQuantity(reading.thd_percent, '%')}. Dots and numbers mark harmonics. ${bench}`,
    );
    return figure({
      id: figureId,
      title: typeset(`Spectrum ${why}: ${power}`),
      words,
      curves: [],
      span: 'half',
      draw: (size) => spectrumChart(reading, figureId, words, size, floor),
    });
  });
}
