import type { HoldResult } from '../../../record/old-results.js';
import type { Reading, RunRecord } from '../../../record/run-record.js';
import { formatDuration, formatQuantity } from '../../../units/format.js';
import { figure } from '../../chart/figure.js';
import { plainChart } from '../../chart/plain-chart.js';
import { readingWords } from '../../chart/reading-words.js';
import { HOLLOW, isDoubtful } from '../../chart/series.js';
import { capital } from '../../model/capital.js';
import { probeCourses } from '../../model/probe-rows.js';
import { settingWords } from '../../model/wording.js';
import { visibleText } from '../../text/visible-text.js';
import type { Markup } from '../markup.js';
import { typeset } from '../typeset.js';

/** Fewer points than this are no course. */
const LEAST_POINTS = 3;
/** Minutes from here on. */
const LONG_s = 300;
/** A chart needs no more points than it has room for. */
const MOST_POINTS = 400;

/** Level and THD+N over the time of each hold of a run. */
export function holdFigures(record: RunRecord): Markup[] {
  const holds = record.results.filter((result) => result.kind === 'hold');
  const steps = [...new Set(holds.map(({ step }) => step))];
  return steps.flatMap((step, i) =>
    figuresOf(
      record,
      holds.filter((hold) => hold.step === step),
      `hold-${i + 1}`,
    ),
  );
}

function figuresOf(record: RunRecord, holds: readonly HoldResult[], id: string): Markup[] {
  const { step, load_ohm, driven, frequency_Hz, seconds } = holds[0]!;
  const times = new Map(record.points.map(({ number, at_s }) => [number, at_s]));
  const readings = record.readings.filter((reading) => reading.step === step);
  const begun_s = Math.min(...readings.map(({ point }) => times.get(point) ?? 0));
  const courses = holds.map(({ channel }) => readings.filter((reading) => reading.channel === channel));
  if (!courses.some((course) => course.length >= LEAST_POINTS)) return [];
  const time = timeScale(seconds);
  const setting = `${visibleText(step)}, ${settingWords(load_ohm, driven, frequency_Hz)}, ${formatDuration(seconds)}`;
  const hollow = courses.flat().some(isDoubtful) ? ` ${HOLLOW}` : '';
  const chart = (
    name: string,
    what: string,
    words: string,
    from: 'zero' | 'tight',
    y: (one: Reading) => number,
  ) => {
    const caption = typeset(words + hollow);
    return figure({
      id: `${id}-${what}`,
      title: typeset(`${name} over time: ${setting}`),
      words: caption,
      curves: holds.map(({ channel }) => `channel ${channel}`),
      span: 'half',
      draw: (size) =>
        plainChart({
          id: `${id}-${what}`,
          name: caption,
          size,
          across: { name: time.name, scale: 'linear' },
          up: { name: what === 'level' ? 'Power per channel, W' : 'THD+N, %', from },
          lines: courses.map((course, i) => ({
            points: course.map((one) => {
              const at_s = (times.get(one.point) ?? begun_s) - begun_s;
              return {
                x: at_s / time.unit_s,
                y: y(one),
                hint: [
                  readingWords(`channel ${holds[i]!.channel}`, one, [formatDuration(at_s)]),
                  ...one.flags,
                ].join('; '),
                doubtful: isDoubtful(one),
              };
            }),
          })),
        }),
    });
  };
  return [
    chart('Level', 'level', levelWords(holds), 'tight', ({ power_W }) => power_W),
    chart('THD+N', 'thdn', thdnWords(holds), 'zero', ({ thdn_percent }) => thdn_percent),
  ];
}

/** What each probe said over the run. */
export function probeFigures(record: RunRecord): Markup[] {
  return [...probeCourses(record)].flatMap(([probe, all], i) => {
    const samples = all.filter(({ value }) => value !== null);
    if (samples.length < LEAST_POINTS) return [];
    const id = `probe-${i + 1}`;
    const unit = visibleText(all[0]!.unit);
    const time = timeScale(samples.at(-1)!.at_s);
    const stride = Math.ceil(samples.length / MOST_POINTS);
    const shown = samples.filter((_, n) => n % stride === 0 || n === samples.length - 1);
    const words = `${samples.length} samples from the start of the run; the table of probes gives least and most.`;
    return [
      figure({
        id,
        title: `Probe ${visibleText(probe)}`,
        words,
        curves: [],
        span: 'half',
        draw: (size) =>
          plainChart({
            id,
            name: words,
            size,
            across: { name: time.name, scale: 'linear' },
            up: { name: `${visibleText(probe)}, ${unit}`, from: 'tight' },
            lines: [
              {
                points: shown.map(({ at_s, value }) => ({
                  x: at_s / time.unit_s,
                  y: value!,
                  hint: `${formatDuration(at_s)}: ${Number(value!.toPrecision(4))} ${unit}`,
                })),
              },
            ],
          }),
      }),
    ];
  });
}

/** More channels than this are told by the one that says most. */
const FEW = 2;

function levelWords(holds: readonly HoldResult[]): string {
  const course = ({ channel, first_W, last_W }: HoldResult) =>
    `channel ${channel} from ${formatQuantity(first_W, 'W')} to ${formatQuantity(last_W, 'W')}`;
  if (holds.length <= FEW) return `At constant drive: ${holds.map(course).join(', ')}.`;
  const share = ({ first_W, last_W }: HoldResult) => Math.abs(last_W / first_W - 1);
  const most = holds.reduce((a, b) => (share(b) > share(a) ? b : a));
  return `At constant drive; of ${holds.length} channels the level of this one changes most: ${course(most)}.`;
}

function thdnWords(holds: readonly HoldResult[]): string {
  const most = ({ channel, most_thdn_percent }: HoldResult) =>
    `channel ${channel} at most ${formatQuantity(most_thdn_percent, '%')}`;
  if (holds.length <= FEW) return `${capital(holds.map(most).join(', '))}.`;
  const dirtiest = holds.reduce((a, b) => (b.most_thdn_percent > a.most_thdn_percent ? b : a));
  return `Of ${holds.length} channels the one with most: ${most(dirtiest)}.`;
}

const timeScale = (seconds: number) =>
  seconds > LONG_s ? { name: 'Time, min', unit_s: 60 } : { name: 'Time, s', unit_s: 1 };
