import { formatQuantity } from '../../units/format.js';
import { groupBy } from '../../units/group-by.js';
import { spanned } from '../../units/listed.js';
import { frequencyWords } from '../../units/nominal-frequency.js';
import { drivenWords, mainsWords } from '../model/wording.js';
import type { Matchable, RunFigure } from './figures-of-run.js';

/** Frequencies closer than about 1 % are one: benches of different rates play the same nominal tone a little apart. */
const PLACES_A_DECADE = 200;

const place = (frequency_Hz: number): number => Math.round(PLACES_A_DECADE * Math.log10(frequency_Hz));

/** Name of a step without the cell of a repetition. */
export const stepName = (step: string): string => step.split('/')[0]!;

/** What must agree between figures that are compared without a mark. */
function likeKey({ what, band_Hz, channel, load_ohm, driven, mains_V, held, step }: Matchable): string {
  const named = held ? stepName(step) : null;
  return JSON.stringify([what, band_Hz.map(place), channel, load_ohm, driven, mains_V, named]);
}

/** What must agree even between unlike figures, for them to stand in one row at all. */
function looseKey({ what, band_Hz, channel }: Matchable): string {
  const [low, high] = band_Hz.map(place);
  return JSON.stringify([what, low === high ? low : 'band', channel]);
}

type Likeness = (row: Matchable, figure: Matchable) => boolean;

/** From the closest fit to the loosest; a figure joins a row by the first of them that finds one. */
const LIKENESSES: readonly Likeness[] = [
  (row, figure) => likeKey(row) === likeKey(figure) && row.step === figure.step,
  (row, figure) => likeKey(row) === likeKey(figure) && stepName(row.step) === stepName(figure.step),
  (row, figure) => likeKey(row) === likeKey(figure),
  (row, figure) => looseKey(row) === looseKey(figure),
];

/**
 * Puts the figures of several runs into rows, one a question. Like joins like first; what is left over joins a row
 * that its run has nothing for, and `unlikeness` says in what it differs; the rest stand alone.
 *
 * @param runs the figures of each run, the run that the others are held against first
 */
export function matchFigures<F extends Matchable>(runs: readonly (readonly F[])[]): F[][] {
  const rows: F[][] = [];
  for (const figures of runs) joinRows(rows, figures);
  return rows;
}

function joinRows<F extends Matchable>(rows: F[][], figures: readonly F[]): void {
  // By the key that every fit demands, so that no figure is held against thousands of rows.
  const open = groupBy(rows, (row) => looseKey(row[0]!));
  let left = [...figures];
  for (const isLike of LIKENESSES)
    left = left.filter((figure) => {
      const mates = open.get(looseKey(figure));
      const mate = mates?.find((row) => isLike(row[0]!, figure));
      if (!mate) return true;
      mate.push(figure);
      mates!.splice(mates!.indexOf(mate), 1);
      return false;
    });
  rows.push(...left.map((figure) => [figure]));
}

/** What two figures, or curves, may be unlike in. */
type Comparable = Matchable & Partial<Pick<RunFigure, 'measured_Hz' | 'missing_Hz' | 'asked_W' | 'finding'>>;

/** A level is set by a gain that was found before, to within about this share of a power. */
const LEVEL_SLACK = 0.01;

/** In which respects a figure belongs to another setting than the one that it stands beside, in words; empty when in none. */
export function unlikeness(figure: Comparable, beside: Comparable): string[] {
  const differs: string[] = [];
  const note = (same: boolean, words: (one: Comparable) => string) => {
    if (!same) differs.push(`${words(figure)} against ${words(beside)}`);
  };
  note(figure.load_ohm === beside.load_ohm, ({ load_ohm }) => formatQuantity(load_ohm, 'ohm'));
  note(figure.driven.join() === beside.driven.join(), ({ driven }) => drivenWords(driven));
  note(figure.mains_V === beside.mains_V, ({ mains_V }) => mainsWords(mains_V));
  note(
    figure.band_Hz.every((end, i) => place(end) === place(beside.band_Hz[i]!)),
    ({ band_Hz }) => tonesWords(band_Hz),
  );
  if (figure.measured_Hz && beside.measured_Hz)
    note(
      figure.measured_Hz.join() === beside.measured_Hz.join(),
      ({ measured_Hz }) => `measured from ${tonesWords(measured_Hz!)}`,
    );
  if (figure.held)
    note(stepName(figure.step) === stepName(beside.step), ({ step }) => `step ${stepName(step)}`);
  const [asked, other] = [figure.asked_W ?? null, beside.asked_W ?? null];
  if (asked !== null && other !== null)
    note(
      Math.abs(asked - other) <= LEVEL_SLACK * Math.max(asked, other),
      ({ asked_W }) => `${formatQuantity(asked_W!, 'W')} requested`,
    );
  return [...differs, ...[figure, beside].flatMap(halfKnown)];
}

/** Why a figure says less than it seems to. */
const halfKnown = ({ run, missing_Hz = [], finding }: Comparable): string[] => [
  ...(missing_Hz.length > 0
    ? [`run ${run}: none found at ${missing_Hz.map(frequencyWords).join(', ')}`]
    : []),
  ...(finding && finding.bound !== 'found' ? [`run ${run}: a bound, not a value`] : []),
];

/** `20 Hz to 20 kHz`, one frequency alone, or none. */
export const tonesWords = (band_Hz: readonly [number, number]): string =>
  band_Hz[0] === 0 ? 'no tone' : spanned(band_Hz, frequencyWords);
