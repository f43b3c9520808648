import { type Finding, numberOf } from '../../../record/finding.js';
import { formatQuantity } from '../../../units/format.js';
import { frequencyWords } from '../../../units/nominal-frequency.js';
import { visibleText } from '../../../units/visible-text.js';
import { typeset } from '../../html/typeset.js';
import type { Chart, ChartPoint, Curve, Guide, Mark } from '../block.js';
import { CAUSE_NAMES, CONFIDENCE_WORDS, causeEvidence, causesInShort, causesOf } from '../cause-words.js';
import { claimMarks } from '../claim-marks.js';
import { isDoubtful } from '../doubtful.js';
import { valueWords } from '../finding-words.js';
import { capital } from '../wording.js';
import { type ChartGround, FREQUENCY, POWER_UP } from './chart-ground.js';
import {
  findingsWithPower,
  type MaxPowerSetting,
  maxPowerSettings,
  plottedFrequency,
  settingParts,
} from './max-power-settings.js';

/** With more channels than this the weakest at each frequency stands for them, and the strongest beside it. */
const MOST_LINES = 4;
/** More settings than this are set side by side. */
const FEW_SETTINGS = 2;
/** More settings than this in one picture are a tangle: then only those with most channels driven. */
const MOST_COMPARED = 8;

/** Fewer frequencies than this are read off a table. */
const LEAST_FREQUENCIES = 3;

const AXES = { x: FREQUENCY, y: POWER_UP } as const;

/** Maximum power against frequency: all settings over each other where there are several, then each by itself. */
export function maxPowerCharts(ground: ChartGround): Chart[] {
  const drawn = maxPowerSettings(ground.record).filter(
    (setting) => setting.nominals_Hz.length >= LEAST_FREQUENCIES && findingsWithPower(setting).length > 0,
  );
  return [
    ...(drawn.length > 1 ? [settingsChart(drawn)] : []),
    ...drawn.map((setting, i) => maxPowerChart(ground, setting, `max-power-${i + 1}`, drawn.length)),
  ];
}

/** The weakest channel of every load and set of driven channels in one picture. */
function settingsChart(settings: readonly MaxPowerSetting[]): Chart {
  const most = Math.max(...settings.map(({ driven }) => driven.length));
  const few =
    settings.length > MOST_COMPARED ? settings.filter(({ driven }) => driven.length === most) : settings;
  const shown = few.slice(0, MOST_COMPARED);
  // What all settings share belongs into the title and not into every name.
  const common = settingParts(shown[0]!).filter((part) =>
    shown.every((one) => settingParts(one).includes(part)),
  );
  const own = (setting: MaxPowerSetting) =>
    settingParts(setting)
      .filter((part) => !common.includes(part))
      .join(', ');
  const lowest = shown.map(
    (one) => `${formatQuantity(numberOf(findingsWithPower(one)[0]!)!, 'W')} (${own(one)})`,
  );
  return {
    id: 'max-power-all',
    title: ['Maximum power against frequency, all settings', ...common].join(', '),
    ...AXES,
    curves: shown.map((setting) => ({ name: own(setting), points: extremes(setting, 'weakest') })),
    guides: [],
    marks: [],
    words: `Weakest channel at each frequency. Lowest over the band: ${lowest.join(', ')}.`,
    wide: true,
  };
}

function maxPowerChart(
  { record, judged }: ChartGround,
  setting: MaxPowerSetting,
  id: string,
  settings: number,
): Chart {
  const { load_ohm, driven, mains_V, threshold_percent, step, nominals_Hz } = setting;
  const curves = curvesOf(setting).filter(({ points }) => points.length > 0);
  const numbered = placedCauses(setting);
  const place = { load_ohm, driven, limit_percent: threshold_percent, frequency_Hz: null };
  return {
    id,
    title: `Maximum power against frequency: ${settingParts(setting).join(', ')}`,
    ...AXES,
    curves,
    guides: claimMarks(record, judged, place).map(
      ({ power_W, words }): Guide => ({ name: words, look: 'claim', at: { y: power_W } }),
    ),
    marks: numbered.map(({ mark }) => mark),
    notes: numbered.map(({ note }) => note),
    words: captionOf(setting, numbered.length),
    // Notes are read across the page.
    wide: settings <= FEW_SETTINGS || numbered.length > 0,
    subject: {
      what: 'Maximum power against frequency',
      step,
      held: false,
      driven,
      load_ohm,
      mains_V,
      band_Hz: [nominals_Hz[0]!, nominals_Hz.at(-1)!],
      threshold_percent,
      worst: { name: 'weakest channel', points: extremes(setting, 'weakest') },
      chosen: 'Of each run the weakest channel at each frequency is drawn.',
    },
  };
}

function captionOf(setting: MaxPowerSetting, notes: number): string {
  const found = findingsWithPower(setting);
  const at = (one: Finding) =>
    `${valueWords(one)} at ${frequencyWords(plottedFrequency(one))} (channel ${one.setting.channel})`;
  return [
    `Lowest ${at(found[0]!)}, highest ${at(found.at(-1)!)}.`,
    ...(notes > 0 ? [`Numbers: causes, below. ${CONFIDENCE_WORDS}`] : []),
  ].join(' ');
}

function curvesOf(setting: MaxPowerSetting): Curve[] {
  const channels = [...setting.channels];
  return channels.length <= MOST_LINES
    ? channels.map(([channel, findings]) => ({
        name: `channel ${channel}`,
        sign: String(channel % 10),
        points: findings.flatMap((finding) => pointOf(setting, finding)),
      }))
    : [
        { name: 'weakest channel', sign: '1', points: extremes(setting, 'weakest') },
        { name: 'strongest channel', sign: '2', points: extremes(setting, 'strongest') },
      ];
}

function extremes(setting: MaxPowerSetting, which: 'weakest' | 'strongest'): ChartPoint[] {
  const all = findingsWithPower(setting);
  return setting.nominals_Hz.flatMap((nominal_Hz) => {
    const here = all.filter((one) => plottedFrequency(one) === nominal_Hz);
    const one = which === 'weakest' ? here[0] : here.at(-1);
    return one ? pointOf(setting, one) : [];
  });
}

function pointOf(setting: MaxPowerSetting, finding: Finding): ChartPoint[] {
  const power_W = numberOf(finding);
  if (power_W === null) return [];
  const { flags, uncertainty } = finding;
  const { channel } = finding.setting;
  const causes = causesAt(setting, finding).map((cause) => causesInShort(causesOf(cause)));
  const place = `channel ${channel}: ${frequencyWords(plottedFrequency(finding))}, ${valueWords(finding)}`;
  const hint = [typeset(place), ...causes, ...flags].join('; ');
  return [
    { x: plottedFrequency(finding), y: power_W, hint, doubtful: isDoubtful(finding), within: uncertainty },
  ];
}

const causesAt = ({ causes }: MaxPowerSetting, finding: Finding): Finding[] =>
  causes.filter(
    (cause) =>
      cause.setting.channel === finding.setting.channel &&
      plottedFrequency(cause) === plottedFrequency(finding),
  );

/** The causes found for the points of a setting, numbered by rising frequency. */
function placedCauses(setting: MaxPowerSetting): { readonly mark: Mark; readonly note: string }[] {
  const placed = setting.nominals_Hz.flatMap((nominal_Hz) =>
    findingsWithPower(setting)
      .filter((finding) => plottedFrequency(finding) === nominal_Hz)
      .flatMap((finding) => causesAt(setting, finding).map((cause) => ({ finding, cause }))),
  );
  return placed.map(({ finding, cause }, i) => {
    const named = causesOf(cause).map(
      ({ cause: code, confidence }) => `${CAUSE_NAMES[code]} (${confidence.toFixed(2)})`,
    );
    const hint = `${frequencyWords(plottedFrequency(cause))}, channel ${cause.setting.channel}: ${named.join(', then ')}`;
    const evidence = causeEvidence(causesOf(cause)).join('; ');
    const said = evidence === '' ? '' : ` ${visibleText(capital(evidence))}.`;
    const [x, y] = [plottedFrequency(finding), numberOf(finding)!];
    return {
      mark: { x, y, shape: 'number', label: [String(i + 1)], hint, ink: 0 },
      note: `${hint}.${said}`,
    };
  });
}
