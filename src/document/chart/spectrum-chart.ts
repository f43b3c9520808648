import type { Harmonic } from '../../measure/analysis.js';
import type { Reading, Spectrum } from '../../record/run-record.js';
import { decibelsOfVoltage } from '../../units/decibel.js';
import { formatQuantity } from '../../units/format.js';
import { typeset } from '../html/typeset.js';
import { axis, GRID, logarithmic, printLogHz, SIZES, type SizeName } from './axes.js';
import { drawSvg } from './draw-svg.js';
import { lineStyle } from './line-style.js';
import { lineSeries, type Series } from './series.js';
import type { Shape } from './shapes.js';
import { type LogAxis, logAxis } from './ticks.js';

/** Harmonics up to this order are numbered; higher ones crowd together on a logarithmic axis. */
const MOST_NUMBERED = 7;
const DEEPEST_dB = -180;

/**
 * The spectrum of one reading, in dB below its fundamental, its harmonics numbered, and as level lines what THD+N adds up
 * to over the band: that of the reading, and that of the bench by itself.
 *
 * @param floor_percent THD+N of the bench at this frequency and level; null: not stated
 */
export function spectrumChart(
  reading: Reading,
  id: string,
  name: string,
  size: SizeName,
  floor_percent: number | null = null,
): string {
  const spectrum: Spectrum = reading.spectrum ?? { frequency_Hz: [], level_dB: [] };
  const low = lowestShown(spectrum.level_dB);
  const grid = Array.from({ length: -low / 20 + 1 }, (_, i) => low + 20 * i);
  const harmonics = shownHarmonics(reading, spectrum, low);
  const sums = bandSums(reading, floor_percent).filter(({ level_dB }) => level_dB > low);
  return drawSvg({
    id: `${id}-${size}`,
    name,
    ...SIZES[size],
    margins: { ...GRID, right: 16 },
    across: logarithmic(
      { ...aboveOneHertz(logAxis(spectrum.frequency_Hz)), name: 'Frequency, Hz', side: 'bottom' },
      printLogHz,
    ),
    up: axis({
      name: 'Level, dB relative to the fundamental',
      side: 'left',
      low,
      high: 10,
      grid,
      labelled: grid,
      print: (level) => String(level).replace('-', '−'),
    }),
    under: sums.map((sum) => sumLine(sum, reading)),
    series: [lineOf(spectrum, low), dotsOf(harmonics)],
    over: [...numbersOf(harmonics), ...sums.map((sum) => sumWords(sum, reading))],
  });
}

/** A multiple of 20 dB below most of the spectrum, so that a few empty bands do not flatten the rest. */
function lowestShown(levels_dB: readonly number[]): number {
  const sorted = levels_dB.filter((level) => level > DEEPEST_dB).sort((a, b) => a - b);
  const typical = sorted[Math.floor(sorted.length / 20)] ?? -120;
  return Math.max(DEEPEST_dB, Math.min(-60, Math.floor((typical - 4) / 20) * 20));
}

function aboveOneHertz(across: LogAxis): LogAxis {
  const low = Math.max(across.low, 1);
  const shown = (step: number) => step >= low;
  return { low, high: across.high, grid: across.grid.filter(shown), labelled: across.labelled.filter(shown) };
}

const lineOf = ({ frequency_Hz, level_dB }: Spectrum, low: number): Series =>
  lineSeries(
    frequency_Hz.map((f, i) => ({ x: Math.log10(f), y: Math.max(low, level_dB[i] ?? low), hint: null })),
    { ...lineStyle(0), width: 1.1 },
  );

interface ShownHarmonic extends Harmonic {
  readonly level_dB: number;
}

function shownHarmonics(
  { harmonics, fundamental_V }: Reading,
  spectrum: Spectrum,
  low: number,
): ShownHarmonic[] {
  return harmonics
    .map((harmonic) => ({ ...harmonic, level_dB: decibelsOfVoltage(harmonic.rms / fundamental_V) }))
    .filter((harmonic) => harmonic.level_dB > low && standsOut(harmonic, spectrum));
}

/** A harmonic below what the spectrum shows around it is noise, and a mark on it would mislead. */
function standsOut({ frequency_Hz, level_dB }: ShownHarmonic, spectrum: Spectrum): boolean {
  const above = spectrum.frequency_Hz.findIndex((f) => f >= frequency_Hz);
  const around = spectrum.level_dB.slice(Math.max(0, above - 1), above + 1);
  return around.every((level) => level_dB >= level - 1);
}

/** Dots alone: the line through them would be none. */
const dotsOf = (harmonics: readonly ShownHarmonic[]): Series => ({
  kind: 'line',
  stroke: { ...lineStyle(0), colour: 'line2', width: 0, radius: 2.5 },
  spots: harmonics.map(({ order, frequency_Hz, level_dB }) => ({
    x: Math.log10(frequency_Hz),
    y: level_dB,
    hint: typeset(
      `harmonic ${order}: ${formatQuantity(frequency_Hz, 'Hz')}, ${formatQuantity(level_dB, 'dB', { figures: 4 })}`,
    ),
  })),
});

const numbersOf = (harmonics: readonly ShownHarmonic[]): Shape[] =>
  harmonics
    .filter(({ order }) => order <= MOST_NUMBERED)
    .map(({ order, frequency_Hz, level_dB }) => ({
      kind: 'words',
      at: [Math.log10(frequency_Hz), level_dB],
      lines: [String(order)],
      anchor: 'middle',
      dy: -10,
    }));

/** What the whole band adds up to besides the fundamental. */
interface BandSum {
  readonly level_dB: number;
  readonly words: string;
  readonly dash: readonly number[];
  /** Its words stand below it, so that two lines near each other keep theirs apart. */
  readonly below: boolean;
}

function bandSums({ thdn_percent }: Reading, floor_percent: number | null): BandSum[] {
  const dB = (percent: number) => decibelsOfVoltage(percent / 100);
  return [
    {
      level_dB: dB(thdn_percent),
      words: `THD+N ${formatQuantity(thdn_percent, '%')}`,
      dash: [7, 4],
      below: false,
    },
    ...(floor_percent === null
      ? []
      : [
          {
            level_dB: dB(floor_percent),
            words: `bench's own THD+N ${formatQuantity(floor_percent, '%')}`,
            dash: [2, 3],
            below: true,
          },
        ]),
  ];
}

const sumLine = ({ level_dB, dash }: BandSum, { band_Hz }: Reading): Shape => ({
  kind: 'rule',
  colour: 'ink',
  through: band_Hz.map((hz) => [Math.log10(hz), level_dB] as const),
  dash,
});

/** At the low end of the band, where few spectra have anything to show. */
const sumWords = ({ level_dB, words, below }: BandSum, { band_Hz }: Reading): Shape => ({
  kind: 'words',
  at: [Math.log10(band_Hz[0]), level_dB],
  lines: [words],
  anchor: 'start',
  dx: 2,
  dy: below ? 10 : -9,
});
