import type { Reading, Spectrum } from '../../record/run-record.js';
import { formatQuantity } from '../../units/format.js';
import { axis, GRID, logarithmic, printLogHz, SIZES, type SizeName } from './axes.js';
import { drawSvg } from './draw-svg.js';
import { lineStyle } from './line-style.js';
import { standIn } from './palette.js';
import { HALO_TEXT, type Series } from './series.js';
import { logAxis } from './ticks.js';

/** Harmonics up to this order are numbered; higher ones crowd together on a logarithmic axis. */
const MOST_NUMBERED = 7;
const DEEPEST_dB = -180;

/** The spectrum of one reading, in dB below its fundamental, its harmonics numbered. */
export function spectrumChart(reading: Reading, id: string, name: string, size: SizeName): string {
  const spectrum: Spectrum = reading.spectrum ?? { frequency_Hz: [], level_dB: [] };
  const low = lowestShown(spectrum.level_dB);
  const across = logAxis(spectrum.frequency_Hz);
  const grid = Array.from({ length: -low / 20 + 1 }, (_, i) => low + 20 * i);
  const all: Series[] = [
    lineOf(spectrum.frequency_Hz, spectrum.level_dB, low),
    harmonicsOf(reading, spectrum, low),
  ];
  return drawSvg({
    id: `${id}-${size}`,
    name,
    ...SIZES[size],
    option: {
      grid: { ...GRID, right: 16 },
      xAxis: logarithmic(
        { ...across, low: Math.max(across.low, 1), name: 'Frequency, Hz', side: 'bottom' },
        printLogHz,
      ),
      yAxis: axis({
        name: 'Level, dB relative to the fundamental',
        side: 'left',
        low,
        high: 10,
        grid,
        labelled: grid,
        print: (level) => String(level).replace('-', '−'),
      }),
      series: all.map(({ series }) => series),
    },
    hint: (series, item) => all[series]?.hints[item] ?? null,
  });
}

/** A multiple of 20 dB below most of the spectrum, so that a few empty bands do not flatten the rest. */
function lowestShown(levels_dB: readonly number[]): number {
  const sorted = levels_dB.filter((level) => level > DEEPEST_dB).sort((a, b) => a - b);
  const typical = sorted[Math.floor(sorted.length / 20)] ?? -120;
  return Math.max(DEEPEST_dB, Math.min(-60, Math.floor((typical - 4) / 20) * 20));
}

function lineOf(frequency_Hz: readonly number[], level_dB: readonly number[], low: number): Series {
  return {
    series: {
      type: 'line',
      silent: true,
      symbol: 'none',
      lineStyle: { color: standIn('line1'), width: 1.1 },
      data: frequency_Hz
        .map((f, i) => [Math.log10(f), Math.max(low, level_dB[i] ?? low)])
        .filter(([x]) => Number.isFinite(x)),
    },
    hints: [],
  };
}

/** A harmonic below what the spectrum shows around it is noise, and a mark on it would mislead. */
function standsOut(
  { frequency_Hz, level_dB }: { frequency_Hz: number; level_dB: number },
  spectrum: Spectrum,
) {
  const above = spectrum.frequency_Hz.findIndex((f) => f >= frequency_Hz);
  const around = spectrum.level_dB.slice(Math.max(0, above - 1), above + 1);
  return around.every((level) => level_dB >= level - 1);
}

function harmonicsOf({ harmonics, fundamental_V }: Reading, spectrum: Spectrum, low: number): Series {
  const shown = harmonics
    .map((harmonic) => ({ ...harmonic, level_dB: 20 * Math.log10(harmonic.rms / fundamental_V) }))
    .filter((harmonic) => harmonic.level_dB > low && standsOut(harmonic, spectrum));
  return {
    series: {
      type: 'scatter',
      silent: true,
      symbol: `path://${lineStyle(0).marker}`,
      symbolSize: 5,
      itemStyle: { color: standIn('line2'), opacity: 1 },
      data: shown.map(({ order, frequency_Hz, level_dB }) => ({
        value: [Math.log10(frequency_Hz), level_dB],
        label: {
          show: order <= MOST_NUMBERED,
          formatter: String(order),
          position: 'top',
          distance: 3,
          ...HALO_TEXT,
        },
      })),
    },
    hints: shown.map(
      ({ order, frequency_Hz, level_dB }) =>
        `harmonic ${order}: ${formatQuantity(frequency_Hz, 'Hz')}, ${formatQuantity(level_dB, 'dB', { figures: 4 })}`,
    ),
  };
}
