import type { BenchSetup } from '../../bench/bench-setup.js';
import { loadVoltsPerUnit } from '../../calibration/chain.js';
import { textTable } from '../../document/text/text-table.js';
import { asTold, inputError } from '../../errors/error-table.js';
import { analyse } from '../../measure/analyse.js';
import type { Band, ChannelAnalysis } from '../../measure/analysis.js';
import { FLAGS } from '../../measure/flags.js';
import { NonFiniteSamples } from '../../measure/measure-errors.js';
import { railFlags } from '../../measure/rail-flags.js';
import { decodeWav } from '../../signal/decode-wav.js';
import { decibelsOfVoltage } from '../../units/decibel.js';
import { formatQuantity } from '../../units/format.js';
import { parseQuantity } from '../../units/parse.js';
import { visibleName } from '../../units/visible-text.js';
import { inOption } from '../terminal/option.js';
import { benchNamed } from '../terminal/read-input.js';
import type { Terminal } from '../terminal/terminal.js';
import { readUserFile } from '../terminal/user-file.js';

export interface AnalyseOptions {
  readonly band?: string;
  readonly frequency?: string;
  readonly bench?: string;
  readonly json?: boolean;
}

/** No channel of a file holds a test tone. */
export const NoTone = inputError('NO_TONE', asTold);

/** A sample of a file is no number. */
export const NoNumberInFile = inputError('NON_FINITE_SAMPLES', asTold);

/** A band is not two rising frequencies below half the rate. */
export const BadBand = inputError('BAD_BAND', asTold);

/** A file has more channels than the bench that should scale it. */
export const ChannelWithoutScale = inputError('CHANNEL_WITHOUT_SCALE', asTold);

/** The longest capture that a run keeps: 2^22 frames of 16 channels. As numbers of double precision they take 512 MiB. */
const MOST_WAV_SAMPLES = 2 ** 26;
/** All those samples in 32 bits each, and a megabyte for the rest of the file. */
const MOST_WAV_BYTES = 4 * MOST_WAV_SAMPLES + 2 ** 20;

/** `ohmest analyse`: the same measurements on a recorded file. */
export async function analyseFile(
  terminal: Terminal,
  file: string,
  options: AnalyseOptions,
): Promise<number> {
  const wav = decodeWav(readUserFile(file, MOST_WAV_BYTES), file, MOST_WAV_SAMPLES);
  const setup = options.bench === undefined ? null : benchNamed(options.bench);
  const measured = inFile(file, () =>
    analyse(scaled(wav.channels, setup, file), {
      rate_Hz: wav.rate_Hz,
      band: options.band === undefined ? null : bandFrom(options.band, wav.rate_Hz),
      frequency_Hz: options.frequency === undefined ? null : frequencyFrom(options.frequency, wav.rate_Hz),
      gaps: true,
    }),
  );
  const analyses = measured.map((analysis, i) => ({
    ...analysis,
    flags: [...analysis.flags, ...railFlags(wav.channels[i]!)],
  }));
  if (analyses.every((analysis) => analysis.flags.includes('no-tone'))) {
    throw new NoTone({
      what: 'no channel has a test tone that stands out from the rest',
      where: file,
      mend: 'Record a steady sine, or name its frequency with --frequency',
    });
  }
  const frames = wav.channels[0]!.length;
  if (options.json)
    terminal.out(JSON.stringify(analyseDocument(file, wav.rate_Hz, frames, analyses), null, 2));
  else terminal.out(analysisText(file, wav.rate_Hz, frames, analyses, setup !== null));
  return 0;
}

/** What is wrong with samples, with the file that they are from. */
function inFile<T>(file: string, work: () => T): T {
  try {
    return work();
  } catch (error) {
    if (!(error instanceof NonFiniteSamples)) throw error;
    const { where, ...rest } = error.explanation;
    throw new NoNumberInFile({ ...rest, where: `${file}, ${where}`, cause: error });
  }
}

function scaled(
  channels: readonly Float64Array[],
  setup: BenchSetup | null,
  file: string,
): readonly Float64Array[] {
  if (setup === null) return channels;
  return channels.map((samples, i) => {
    const chain = setup.channels[i];
    if (!chain) {
      throw new ChannelWithoutScale({
        what: `the file has ${channels.length} channels, the bench ${setup.name} only ${setup.channels.length}`,
        where: file,
        mend: 'Name the bench it was recorded on',
      });
    }
    return samples.map((sample) => sample * loadVoltsPerUnit(chain));
  });
}

function bareHertz(text: string): number {
  return /^\s*\d+(\.\d+)?\s*$/.test(text) ? Number(text) : parseQuantity(text, 'Hz');
}

function bandFrom(text: string, rate_Hz: number): Band {
  const parts = inOption('--band', () => text.split(':').map(bareHertz));
  const [low, high] = parts;
  if (parts.length !== 2 || !(low! >= 0 && low! < high! && high! <= rate_Hz / 2)) {
    throw new BadBand({
      what: `'${text}' is not a band of a file at ${rate_Hz} samples per second`,
      where: '--band',
      mend: `Give two rising frequencies up to ${rate_Hz / 2} Hz, such as 20:20000`,
    });
  }
  return [low!, high!];
}

function frequencyFrom(text: string, rate_Hz: number): number {
  const frequency_Hz = inOption('--frequency', () => bareHertz(text));
  if (frequency_Hz > 0 && frequency_Hz < rate_Hz / 2) return frequency_Hz;
  throw new BadBand({
    what: `a tone of ${text} cannot be in a file at ${rate_Hz} samples per second`,
    where: '--frequency',
    mend: `Give a frequency between 0 and ${rate_Hz / 2} Hz`,
  });
}

/** The document that `analyse --json` promises. */
function analyseDocument(
  file: string,
  rate_Hz: number,
  frames: number,
  analyses: readonly ChannelAnalysis[],
): object {
  return {
    file,
    rate_Hz,
    frames,
    band_Hz: analyses[0]!.band_Hz,
    channels: analyses.map((analysis, i) => ({ channel: i + 1, ...analysis })),
  };
}

function analysisText(
  file: string,
  rate_Hz: number,
  frames: number,
  analyses: readonly ChannelAnalysis[],
  inVolts: boolean,
): string {
  const level = (value: number): string =>
    inVolts ? formatQuantity(value, 'V') : `${decibelsOfVoltage(value * Math.SQRT2).toFixed(3)} dBFS`;
  const rows = analyses.map((analysis, i) => {
    if (analysis.flags.includes('no-tone')) return [String(i + 1), 'no tone', '', '', '', '', ''];
    return [
      String(i + 1),
      `${analysis.fundamental_Hz.toFixed(3)} Hz`,
      level(analysis.fundamental_rms),
      analysis.thd_percent === null ? '-' : formatQuantity(analysis.thd_percent, '%'),
      formatQuantity(analysis.thdn_percent, '%'),
      level(analysis.noise_rms),
      String(analysis.gaps.length),
    ];
  });
  const [low_Hz, high_Hz] = analyses[0]!.band_Hz;
  const flags = [...new Set(analyses.flatMap((analysis) => analysis.flags))];
  return [
    `${visibleName(file)}: ${frames} frames at ${rate_Hz} Hz, measured from ${formatQuantity(low_Hz, 'Hz')} to ${formatQuantity(high_Hz, 'Hz')}`,
    '',
    textTable(['channel', 'tone', 'level', 'THD', 'THD+N', 'noise', 'gaps'], rows),
    ...flags.map((flag) => `! ${FLAGS[flag]}`),
    '',
    'THD relative to the fundamental, harmonics 2 to 20 in the band; THD+N relative to everything in the band.',
    ...(inVolts ? [] : ['0 dBFS is a sine that just fills the scale.']),
  ].join('\n');
}
