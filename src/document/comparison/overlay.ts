import type { RunRecord } from '../../record/run-record.js';
import { formatQuantity } from '../../units/format.js';
import { typeset } from '../html/typeset.js';
import { oneLine } from '../text/visible-text.js';
import type { ComparedRun } from './comparison.js';
import { type CurvePoint, type CurveSet, curveSets, type DrawnKind } from './curve-sets.js';
import { matchFigures, unlikeness } from './match-figures.js';

/** One line of a picture that lays runs over each other. */
export interface OverlayLine {
  /** Position of its run among those compared: it gives the line its colour and its dash. */
  readonly position: number;
  /** `run 3, Blue box, channel 1`. */
  readonly label: string;
  /** In which respects it is unlike the first run's; empty when in none. */
  readonly unlike: readonly string[];
  readonly points: readonly CurvePoint[];
  readonly crossings: CurveSet['crossings'];
}

/** Curves of the same kind, from all runs that have them. */
export interface Overlay {
  readonly kind: DrawnKind;
  /** The setting of the first run that has the curve; it names the picture. */
  readonly first: CurveSet;
  readonly lines: readonly OverlayLine[];
  /** How one channel was chosen to stand for all; empty when all are drawn. */
  readonly chosen: string;
}

/** More lines than this in one picture are a tangle: then one channel stands for each run. */
const MOST_LINES = 6;
const LONGEST_LABEL = 48;

/** All pictures in which at least two runs meet, those over the whole band first. */
export function overlays(runs: readonly ComparedRun[]): Overlay[] {
  const kinds: readonly DrawnKind[] = ['ceiling', 'climb', 'sweep', 'hold'];
  return kinds.flatMap((kind) =>
    matchFigures(runs.map(({ record }) => curveSets(record, kind).filter(isDrawable)))
      .filter((row) => row.length > 1)
      .map((row) => overlayOf(kind, row, runs)),
  );
}

const isDrawable = ({ channels }: CurveSet): boolean =>
  [...channels.values()].some((points) => points.length > 0);

function overlayOf(kind: DrawnKind, row: readonly CurveSet[], runs: readonly ComparedRun[]): Overlay {
  const count = row.reduce((sum, { channels }) => sum + channels.size, 0);
  const all = count <= MOST_LINES;
  const lines = row.flatMap((set) => {
    const position = runs.findIndex(({ record }) => record.run === set.run);
    const { record, unlike } = runs[position]!;
    const differs = [...unlike.map((matter) => matter.toLowerCase()), ...unlikeness(set, row[0]!)];
    const drawn = all ? [...set.channels] : [worst(kind, set)];
    return drawn.map(([channel, points]) => ({
      position,
      label: `${nameOf(record)}, ${channel === 0 ? 'weakest channel' : `channel ${channel}`}`,
      unlike: differs,
      points,
      crossings: set.crossings.filter((one) => one.channel === channel),
    }));
  });
  return { kind, first: row[0]!, lines, chosen: all ? '' : CHOSEN[kind] };
}

/** `run 3, Blue box`. */
export const nameOf = ({ run, unit }: Pick<RunRecord, 'run' | 'unit'>): string =>
  `run ${run}, ${oneLine(unit.label, LONGEST_LABEL)}`;

const CHOSEN: Readonly<Record<DrawnKind, string>> = {
  ceiling: 'Of each run the weakest channel at each frequency is drawn.',
  climb: 'Of each run only the channel that distorts first is drawn.',
  sweep: 'Of each run only the channel with the most THD+N is drawn.',
  hold: 'Of each run only the channel with the least power at the end is drawn.',
};

/** The channel that stands for a run, with its number; 0 where it is another one from place to place. */
function worst(kind: DrawnKind, set: CurveSet): readonly [number, readonly CurvePoint[]] {
  const channels = [...set.channels].filter(([, points]) => points.length > 0);
  if (kind === 'ceiling') return [0, lowestEverywhere(channels.flatMap(([, points]) => points))];
  return channels.reduce((a, b) => (badness(kind, set, b) > badness(kind, set, a) ? b : a));
}

function lowestEverywhere(points: readonly CurvePoint[]): CurvePoint[] {
  const least = new Map<number, CurvePoint>();
  for (const point of points) {
    const sofar = least.get(point.frequency_Hz);
    if (sofar === undefined || point.power_W < sofar.power_W) least.set(point.frequency_Hz, point);
  }
  return [...least.values()].sort((a, b) => a.frequency_Hz - b.frequency_Hz);
}

function badness(
  kind: DrawnKind,
  { crossings }: CurveSet,
  [channel, points]: readonly [number, readonly CurvePoint[]],
): number {
  switch (kind) {
    case 'climb': {
      const own = crossings.filter((one) => one.channel === channel).map(({ power_W }) => power_W);
      return own.length > 0 ? -Math.min(...own) : -points.at(-1)!.power_W;
    }
    case 'sweep':
      return Math.max(...points.map(({ thdn_percent }) => thdn_percent ?? 0));
    default:
      return -points.at(-1)!.power_W;
  }
}

/** `1 kHz, 62.3 W, THD+N 0.012 %`, and flags: what is read off a chart. */
export function pointWords({ frequency_Hz, power_W, thdn_percent, flags }: CurvePoint): string {
  const thdn = thdn_percent === null ? [] : [`THD+N ${formatQuantity(thdn_percent, '%')}`];
  const figures = [
    formatQuantity(frequency_Hz, 'Hz', { figures: 4, trim: true }),
    formatQuantity(power_W, 'W'),
    ...thdn,
  ].join(', ');
  return [typeset(figures), ...flags].join('; ');
}
