import type { ChannelChain } from '../calibration/chain.js';
import { voltageRatio } from '../units/decibel.js';
import { formatQuantity } from '../units/format.js';
import { type Accuracy, countsLimit } from './accuracy.js';
import { ReadingUnstable } from './calibration-errors.js';
import type { MeterReading } from './gain-fit.js';
import { askPlausibly, implausible } from './plausible.js';
import { requireFine } from './requirements.js';
import type { ToneStand } from './tone-stand.js';

const TONE_Hz = 1000;
/** Rising, as everything starts low; the middle one is read again at the end. */
const LEVELS_dB = [-20, -12, -6, -3, -1];
/** Share by which the first reading may differ from what the bench file says, and later ones from the first. */
const FROM_FILE = 0.25;
const FROM_FIRST = 0.03;
/** Share by which a level read twice may move: common practice, no source. */
const STEADY = 0.002;

/**
 * Meter's volts at an output at every level, low to high, the middle one twice. The tone plays on while the meter is read.
 *
 * @param atLevel looks at each level before the meter is asked for
 * @throws MeterTooCoarse, ReadingImplausible, ReadingUnstable
 */
export async function readLevels(
  stand: ToneStand,
  chain: ChannelChain,
  accuracy: Accuracy,
  atLevel: (peak: number, index: number) => Promise<void>,
): Promise<MeterReading[]> {
  const levels_dB = [...(stand.work.levels_dB ?? LEVELS_dB)].sort((a, b) => a - b);
  const again_dB = levels_dB[Math.floor(levels_dB.length / 2)]!;
  const readings: MeterReading[] = [];
  const weakest_V = (voltageRatio(levels_dB[0]!) * chain.outputFullScale_Vpk) / Math.SQRT2;
  requireFine(accuracy, weakest_V, 'V', chain.channel);
  for (const [i, level_dB] of [...levels_dB, again_dB].entries()) {
    const peak = voltageRatio(level_dB);
    stand.set(TONE_Hz, new Map([[chain.channel, peak]]));
    await atLevel(peak, i);
    const again = i === levels_dB.length;
    const reading_V = await readLevel(stand, chain, {
      peak,
      level_dB,
      again,
      first: readings[0],
      accuracy,
    });
    readings.push({ peak, reading_V });
  }
  requireSteady(readings, accuracy, chain);
  return readings;
}

interface AskedLevel {
  readonly peak: number;
  readonly level_dB: number;
  readonly again: boolean;
  /** The first reading of the series, once there is one. */
  readonly first: MeterReading | undefined;
  readonly accuracy: Accuracy;
}

async function readLevel(
  stand: ToneStand,
  chain: ChannelChain,
  { peak, level_dB, again, first, accuracy }: AskedLevel,
): Promise<number> {
  const tone = stand.tone(TONE_Hz);
  const perPeak_V = first ? first.reading_V / first.peak : chain.outputFullScale_Vpk / Math.SQRT2;
  const value = peak * perPeak_V;
  // Counts weigh most on the first, weakest reading, which all others are held against.
  const counts = first ? (2 * countsLimit(accuracy)) / first.reading_V : countsLimit(accuracy) / value;
  const within = (first ? FROM_FIRST : FROM_FILE) + counts;
  const nothing = `is the meter on output ${chain.output}, in the right range, and does the interface play on this output?`;
  return askPlausibly(
    stand.work,
    {
      question: { kind: 'output-volts', channel: chain.channel, frequency_Hz: tone.frequency_Hz },
      text: `Output ${chain.output} plays ${tone.frequency_Hz.toFixed(1)} Hz at ${level_dB} dB${again ? ' once more' : ''}, about ${formatQuantity(value, 'V')}. Volts rms on the meter:`,
      fault: (reading) => implausible(reading, { value, within, unit: 'V', nothing }),
    },
    (ask) => stand.hold(ask),
  );
}

/** @throws ReadingUnstable when the level that was read twice gave two values */
function requireSteady(
  readings: readonly MeterReading[],
  accuracy: Accuracy,
  { channel, output }: ChannelChain,
): void {
  const last = readings.at(-1)!;
  const before = readings.find(({ peak }) => peak === last.peak)!;
  const most_V = STEADY * last.reading_V + countsLimit(accuracy) + 2 * accuracy.resolution;
  if (Math.abs(last.reading_V - before.reading_V) <= most_V) return;
  const print = (value: number) => formatQuantity(value, 'V', { figures: 5 });
  throw new ReadingUnstable({
    what: `output ${output} read ${print(before.reading_V)} at first and ${print(last.reading_V)} at the same level later`,
    where: `channel ${channel}`,
    mend: 'Let interface and meter warm up for half an hour, check the leads, and start afresh',
  });
}
