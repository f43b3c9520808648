import type { Harmonic } from '../../../measure/analysis.js';
import { numberOf } from '../../../record/finding.js';
import type { DrawnSpectrum, Reading } from '../../../record/run-record.js';
import { decibelsOfVoltage } from '../../../units/decibel.js';
import { formatQuantity } from '../../../units/format.js';
import { typeset } from '../../html/typeset.js';
import type { Chart, Guide, Mark } from '../block.js';
import { capital } from '../wording.js';
import type { ChartGround } from './chart-ground.js';
import { channelsOf, type StepReadings, stepReadings } from './step-readings.js';

/** A reading whose spectrum is worth a picture, and why. */
export interface ChosenSpectrum {
  readonly reading: Reading;
  /** `near 0.1 % THD+N`. */
  readonly why: string;
}

/** The low level lies this far below the high one: clear of clipping, and still above most noise. */
const LOW_SHARE = 0.01;

/**
 * Picks two spectra of a climb, from its weakest channel: the one nearest to where the strictest limit is reached (or the
 * highest power, when none was), and one 20 dB below it.
 */
export function chosenSpectra(climb: StepReadings): ChosenSpectrum[] {
  const limits = channelsOf(climb).map((channel) => ({ channel, ...limitOf(climb, channel) }));
  const { channel, power_W, percent } = limits.reduce((a, b) => (b.power_W < a.power_W ? b : a));
  const kept = climb.channels
    .get(channel)!
    .map(({ reading }) => reading)
    .filter((reading) => reading.spectrum !== null && reading.power_W > 0)
    .sort((a, b) => a.power_W - b.power_W);
  const highest = kept.at(-1);
  if (highest === undefined) return [];
  const high = percent === null ? highest : nearest(kept, power_W);
  const low = nearest(kept, high.power_W * LOW_SHARE);
  const why = percent === null ? 'at the highest power' : `near ${formatQuantity(percent, '%')} THD+N`;
  return [{ reading: high, why }, ...(low === high ? [] : [{ reading: low, why: 'at low level' }])];
}

/** Power at the strictest limit that a channel reaches; without one it is the strongest. */
function limitOf({ findings }: StepReadings, channel: number) {
  const reached = findings
    .filter(({ quantity, setting }) => quantity === 'max-power' && setting.channel === channel)
    .flatMap((one) => {
      const power_W = numberOf(one);
      const percent = one.terms.threshold_percent;
      return power_W === null || one.bound !== 'found' || percent === undefined ? [] : [{ power_W, percent }];
    })
    .sort((a, b) => a.percent - b.percent);
  return reached[0] ?? { power_W: Number.POSITIVE_INFINITY, percent: null };
}

const nearest = (readings: readonly Reading[], power_W: number): Reading =>
  readings.reduce((best, reading) =>
    Math.abs(Math.log(reading.power_W / power_W)) < Math.abs(Math.log(best.power_W / power_W))
      ? reading
      : best,
  );

/** Harmonics up to this order are numbered; higher ones crowd together on a logarithmic axis. */
const MOST_NUMBERED = 7;
const DEEPEST_dB = -180;
/** Spectra of more climbs than this would fill the page: then those with most channels driven. */
const MOST_CLIMBS = 3;

/** Two spectra of every climb: near its strictest limit and at low level, of its weakest channel. */
export function spectrumCharts({ record, floorAt }: ChartGround): Chart[] {
  const climbs = stepReadings(record, 'climb');
  const most = Math.max(0, ...climbs.map(({ driven }) => driven.length));
  const shown =
    climbs.length > MOST_CLIMBS
      ? climbs.filter(({ driven }) => driven.length === most).slice(0, MOST_CLIMBS)
      : climbs;
  return shown.flatMap((climb, i) =>
    chosenSpectra(climb).map((chosen, n) => spectrumChart(chosen, `spectrum-${i + 1}-${n + 1}`, floorAt)),
  );
}

/**
 * The spectrum of one reading, in dB below its fundamental, its harmonics numbered, and as level lines what THD+N adds up
 * to over the band: that of the reading, and that of the bench by itself.
 */
export function spectrumChart(
  { reading, why }: ChosenSpectrum,
  id: string,
  floorAt: ChartGround['floorAt'],
): Chart {
  const spectrum: DrawnSpectrum = reading.spectrum ?? { frequency_Hz: [], level_dB: [] };
  const low = lowestShown(spectrum.level_dB);
  const harmonics = shownHarmonics(reading, spectrum, low);
  return {
    id,
    title: `Spectrum ${why}: ${formatQuantity(reading.power_W, 'W')}`,
    x: { name: 'Frequency, Hz', unit: 'Hz', scale: 'log', ends: 'close' },
    y: { name: 'Level, dB relative to the fundamental', unit: 'dB', scale: 'linear', from: low, to: 0 },
    curves: [
      {
        name: '',
        look: 'bare',
        sign: '',
        points: spectrum.frequency_Hz.flatMap((x, i) =>
          x >= 1 ? [{ x, y: Math.max(low, spectrum.level_dB[i] ?? low) }] : [],
        ),
      },
      {
        name: '',
        look: 'dots',
        sign: '',
        marker: 0,
        points: harmonics.map(({ order, frequency_Hz, level_dB }) => ({
          x: frequency_Hz,
          y: level_dB,
          hint: typeset(
            `harmonic ${order}: ${formatQuantity(frequency_Hz, 'Hz')}, ${formatQuantity(level_dB, 'dB', { figures: 4 })}`,
          ),
        })),
      },
    ],
    guides: sums(reading, floorAt(reading)).filter(({ at }) => at.y > low),
    marks: harmonics
      .filter(({ order }) => order <= MOST_NUMBERED)
      .map(
        ({ order, frequency_Hz, level_dB }): Mark => ({
          x: frequency_Hz,
          y: level_dB,
          shape: 'words',
          label: [String(order)],
          hint: '',
          ink: 1,
        }),
      ),
    words: wordsOf(reading, floorAt(reading)),
  };
}

function wordsOf(
  { channel, power_W, load_ohm, thdn_percent, thd_percent }: Reading,
  floor: number | null,
): string {
  const thd = thd_percent === null ? 'none in band' : formatQuantity(thd_percent, '%');
  const setting = `channel ${channel}, ${formatQuantity(power_W, 'W')} into ${formatQuantity(load_ohm, 'ohm')}`;
  const bench = floor === null ? ' Residual of the bench: not stated.' : '';
  return `${capital(setting)}: THD+N ${formatQuantity(thdn_percent, '%')}, THD ${thd}. Dots: harmonics, with their order.${bench}`;
}

/** A multiple of 20 dB below most of the spectrum, so that a few empty bands do not flatten the rest. */
function lowestShown(levels_dB: readonly number[]): number {
  const sorted = levels_dB.filter((level) => level > DEEPEST_dB).sort((a, b) => a - b);
  const typical = sorted[Math.floor(sorted.length / 20)] ?? -120;
  return Math.max(DEEPEST_dB, Math.min(-60, Math.floor((typical - 4) / 20) * 20));
}

interface ShownHarmonic extends Harmonic {
  readonly level_dB: number;
}

const shownHarmonics = (
  { harmonics, fundamental_V }: Reading,
  spectrum: DrawnSpectrum,
  low: number,
): ShownHarmonic[] =>
  harmonics
    .map((harmonic) => ({ ...harmonic, level_dB: decibelsOfVoltage(harmonic.rms / fundamental_V) }))
    .filter((harmonic) => harmonic.level_dB > low && standsOut(harmonic, spectrum));

/** A harmonic below what the spectrum shows around it is noise, and a mark on it would mislead. */
function standsOut({ frequency_Hz, level_dB }: ShownHarmonic, spectrum: DrawnSpectrum): boolean {
  const above = spectrum.frequency_Hz.findIndex((f) => f >= frequency_Hz);
  const around = spectrum.level_dB.slice(Math.max(0, above - 1), above + 1);
  return around.every((level) => level_dB >= level - 1);
}

/** What the whole band adds up to besides the fundamental. */
function sums({ thdn_percent }: Reading, floor_percent: number | null) {
  const sum = (percent: number, name: string, look: Guide['look']) => ({
    name: `${name} ${formatQuantity(percent, '%')}`,
    look,
    at: { y: decibelsOfVoltage(percent / 100) as number },
  });
  return [
    sum(thdn_percent, 'THD+N', 'claim'),
    ...(floor_percent === null ? [] : [sum(floor_percent, 'residual of the bench', 'floor')]),
  ];
}
