import type { Block, Section } from '../../document/model/block.js';
import { stepReadings } from '../../document/model/charts/step-readings.js';
import { sweepCharts } from '../../document/model/charts/sweep-chart.js';
import { channelsOf, findingFor, groupsBy, ofChannel } from '../../document/model/finding-groups.js';
import { findingCell, placeWords, termsWords, uncertaintyWords } from '../../document/model/finding-words.js';
import type { ShowGround } from '../../document/model/ground.js';
import { figures, pictures, section, table, text } from '../../document/model/make-blocks.js';
import { capital, numbered, requestedWords, settingWords } from '../../document/model/wording.js';
import type { Finding } from '../../record/finding.js';

/** Sweeps: the lowest power and the highest THD+N over the band at one level, per channel. */
export function showSweep(ground: ShowGround): readonly Section[] {
  const { record, findings } = ground;
  const sweeps = stepReadings(record, 'sweep');
  const settings = groupsBy(findings, ({ setting }) => [setting.step, setting.load_ohm, setting.driven]);
  if (sweeps.length === 0 && settings.length === 0) return [];
  const titles = numbered(
    settings.map(([first]) => `${termsWords(first!)}${requestedWords(record, first!.setting.step)}`),
  );
  const finished = new Set(findings.map(({ setting }) => setting.step));
  const open = sweeps.filter(({ step }) => !finished.has(step));
  return [
    section('sweeps', 'Across the band at one level', [
      ...pictures(sweepCharts(ground), true),
      ...settings.flatMap((found, i) => settingBlocks(found, titles[i]!)),
      ...open.map(({ load_ohm, driven }) =>
        text(`${capital(settingWords(load_ohm, driven))}: not finished, no result for the band.`),
      ),
    ]),
  ];
}

const COLUMNS = figures('Channel', 'Lowest power', 'At', 'Highest THD+N', 'At');

function settingBlocks(found: readonly Finding[], title: string): Block[] {
  const rows = channelsOf(found).map((channel) => {
    const own = ofChannel(found, channel);
    const power = findingFor(own, 'power', { statistic: 'minimum' });
    const thdn = findingFor(own, 'thdn', { statistic: 'maximum' });
    return [String(channel), findingCell(power), placeWords(power), findingCell(thdn), placeWords(thdn)];
  });
  return [table(title, COLUMNS, rows), text(`Figures: ${uncertaintyWords(found)}.`, 'small')];
}
