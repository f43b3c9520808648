import picocolors from 'picocolors';
import { type JudgedClaims, judgeRun } from '../../judgement/judged-run.js';
import type { KneeResult, PowerAtThdn } from '../../record/old-results.js';
import type { RunRecord } from '../../record/run-record.js';
import { formatQuantity } from '../../units/format.js';
import { type CurveGroup, curveGroups } from '../chart/curves.js';
import { leftOutNotes } from '../chart/telling-band.js';
import { flagPlaces } from '../model/flag-places.js';
import { headline } from '../model/headline.js';
import {
  amount,
  channelWords,
  outcomeWords,
  powerWithin,
  settingWords,
  statedOnly,
  timeWords,
  uncertaintyWords,
} from '../model/wording.js';
import { ceilingTexts } from './text-ceilings.js';
import { causeText, courseLines, holdTexts, probeText, sumText } from './text-found.js';
import { claimMark, textPlot } from './text-plot.js';
import { textTable } from './text-table.js';
import { protocolText, ratingsText, verdictsText } from './text-verdicts.js';
import { oneLine } from './visible-text.js';
import { wrapText } from './wrap-text.js';

export interface TextOptions {
  /** Columns of the terminal; text is kept within 40 to 120 of them. */
  readonly width: number;
  readonly colour: boolean;
  /** A claim to judge the run by besides its own; left out: none. */
  readonly claim?: string;
}

/**
 * What a run found, for a terminal: the verdicts on its claim, the ratings, what the unit delivered channel by
 * channel, the climb as a small plot, the band, the flags in words, and how to repeat it. No line end at the end.
 *
 * @throws DocumentError when the claim of the options is none
 */
export function textSummary(record: RunRecord, options: TextOptions): string {
  const width = Math.min(120, Math.max(40, options.width));
  const { bold } = picocolors.createColors(options.colour);
  const judged = judgeRun(record, options.claim ?? null);
  const fitted = { ...options, width };
  const paragraphs = [
    ...opening(record, verdictsText(judged, record.claim, fitted), fitted),
    ratingsText(judged, fitted),
    ...ceilingTexts(record, width, bold, claimedInto(judged)),
    causeText(record, width, bold),
    ...curveGroups([record], 'climb').map((group) =>
      climbText(record, group, width, bold, claimedInto(judged)(group.load_ohm)),
    ),
    ...curveGroups([record], 'sweep').map((group) => bandText(record, group, bold)),
    sumText(record, width, bold),
    ...holdTexts(record, width, bold),
    probeText(record, width, bold),
    protocolText(judged, fitted),
    flagText(record, width, bold),
    repeatText(record, width, bold),
  ];
  return paragraphs.filter((paragraph) => paragraph !== '').join('\n\n');
}

/** Verdicts come before anything else that was found. */
function opening(record: RunRecord, verdicts: readonly string[], options: TextOptions): string[] {
  const [first, second] = [title(record, options.width, options), found(record, options.width)];
  return verdicts.length === 0 ? [`${first}\n${second}`] : [first, ...verdicts, second];
}

function title(record: RunRecord, width: number, { colour }: TextOptions): string {
  const { bold, yellow } = picocolors.createColors(colour);
  const outcome = wrapText(oneLine(outcomeWords(record), 400), width);
  const name = `Run ${record.run}: ${oneLine(record.unit.label, width - 12)}`;
  return [bold(name), ...(record.outcome === 'completed' ? [] : [yellow(outcome)])].join('\n');
}

function found(record: RunRecord, width: number): string {
  return [
    wrapText(headline(record), width),
    ...leftOutNotes(record).map((note) => wrapText(oneLine(note, 400), width)),
    ...(record.bench.kind === 'simulated' ? ['Simulated bench: no real unit was measured.'] : []),
  ].join('\n');
}

/** Watts per channel that the first claim gives into a load; null when none does. */
const claimedInto =
  ({ claims }: JudgedClaims) =>
  (load_ohm: number): number | null =>
    claims
      .map(({ verdict }) => verdict.claim)
      .find((claim) => claim.per !== 'total' && (claim.load_ohm ?? load_ohm) === load_ohm)?.power_W ?? null;

/** Each note of results with the channels that it is about: a table of several leaves open whose it is. */
function channelNotes(results: readonly (PowerAtThdn | KneeResult)[]): string[] {
  const told = [...new Set(results.map(({ note }) => note).filter((note) => note !== ''))];
  return told.map((note) => {
    const about = results.filter((result) => result.note === note).map(({ channel }) => channel);
    return `${channelWords([...new Set(about)])}: ${note}`;
  });
}

type Style = (text: string) => string;

function climbText(
  record: RunRecord,
  group: CurveGroup,
  width: number,
  bold: Style,
  claim_W: number | null,
): string {
  const marks = resultsOf(record, group, 'power-at-thdn') as PowerAtThdn[];
  const thresholds = [...new Set(marks.map((mark) => mark.threshold_percent))];
  const title = bold(
    `${oneLine(group.step, 40)}: ${settingWords(group.load_ohm, group.driven, group.nominal_Hz)}`,
  );
  const plot = textPlot(group, width, claim_W);
  if (marks.length === 0) return [title, plot].join('\n');
  const knees = resultsOf(record, group, 'knee') as KneeResult[];
  const head = [
    'channel',
    ...thresholds.map((percent) => `at ${formatQuantity(percent, '%')}`),
    'knee',
    'hardness',
  ];
  const rows = group.curves.map(({ channel }) => {
    const knee = knees.find((result) => result.channel === channel);
    const powers = thresholds.map((percent) => {
      const mark = marks.find((result) => result.channel === channel && result.threshold_percent === percent);
      return mark?.power_W == null ? '–' : powerWithin(mark.power_W, mark.uncertainty_W);
    });
    return [
      String(channel),
      ...powers,
      knee?.power_W == null ? '–' : powerWithin(knee.power_W, knee.uncertainty_W ?? null),
      amount(knee?.hardness_dB ?? null, 'dB'),
    ];
  });
  const found = marks.filter((mark) => mark.power_W !== null);
  const notes = channelNotes([...marks, ...knees]);
  return [
    title,
    textTable(
      head,
      rows,
      head.map((_, i) => i),
    ),
    ...(found.length > 0 ? [`Power: ${uncertaintyWords([...found, ...knees.flatMap(statedOnly)])}.`] : []),
    ...notes.map((note) => wrapText(oneLine(note, 400), width)),
    '',
    `THD+N against power${claimMark(claim_W)}`,
    plot,
  ].join('\n');
}

const resultsOf = (record: RunRecord, group: CurveGroup, kind: string) =>
  record.results.filter(
    (result) => result.kind === kind && result.step === group.step && result.load_ohm === group.load_ohm,
  );

function bandText(record: RunRecord, group: CurveGroup, bold: Style): string {
  const title = bold(`${oneLine(group.step, 40)}: ${settingWords(group.load_ohm, group.driven)}`);
  const rows = resultsOf(record, group, 'band').flatMap((band) =>
    band.kind === 'band'
      ? [
          [
            String(band.channel),
            powerWithin(band.least_power_W, band.least_power_uncertainty_W ?? null),
            formatQuantity(band.least_power_Hz, 'Hz', { figures: 3 }),
            formatQuantity(band.most_thdn_percent, '%'),
            formatQuantity(band.most_thdn_Hz, 'Hz', { figures: 3 }),
          ],
        ]
      : [],
  );
  if (rows.length === 0) return `${title}\nNot finished: no result for the band.`;
  const head = ['channel', 'least power', 'at', 'most THD+N', 'at'];
  return [title, textTable(head, rows, [0, 1, 2, 3, 4])].join('\n');
}

function flagText(record: RunRecord, width: number, bold: Style): string {
  const places = flagPlaces(record);
  if (places.length === 0) return record.readings.length === 0 ? '' : 'No reading carries a flag.';
  const lines = places.map(({ flag, words, where }) =>
    wrapText(`${flag}: ${words} (${oneLine(where, 300)})`, width, '  '),
  );
  return [bold('Flags'), ...lines].join('\n');
}

function repeatText(record: RunRecord, width: number, bold: Style): string {
  const { sequence, bench, started, version } = record;
  return [
    bold('To repeat it'),
    `sequence ${oneLine(sequence.name, width - 40)} (sha256 ${sequence.sha256.slice(0, 12)})`,
    `bench    ${oneLine(bench.name, width - 40)} (sha256 ${bench.sha256.slice(0, 12)})`,
    `started  ${timeWords(oneLine(started, 40))}, ohmest ${oneLine(version, 20)}`,
    ...courseLines(record, width),
  ].join('\n');
}
