import type { ChannelChain } from '../calibration/chain.js';
import { contacts, rectangular, scatter } from './accuracy.js';
import { ReadingImplausible } from './calibration-errors.js';
import {
  type ByChannel,
  type CalibrationWork,
  connect,
  plainCables,
  throughAttenuators,
} from './calibration-work.js';
import { type CalibrationFinding, finding } from './finding.js';
import { type Mean, meanOf, type Series } from './gain-fit.js';
import { hearLoops, peaksForInput } from './loops.js';
import { requireLinear } from './requirements.js';
import { onStand, type ToneStand } from './tone-stand.js';

const TONE_Hz = 1000;
/** Levels at the input without the attenuator; the same outputs are then played through it. */
const LEVELS_dB = [-3, -6, -9];
/** Factor by which a ratio may differ from the one in the bench file. */
const MOST_FACTOR = 1.5;

/** What one channel heard without its attenuator. */
interface Direct {
  readonly peaks: readonly number[];
  readonly heard: readonly number[];
  /** Limits within which the loop is proportional from its top down to the level behind the attenuator, percent. */
  readonly linearity_percent: number;
}

/**
 * Ratio of every attenuator asked for, near 1 kHz, by two loops: straight, and through the attenuator, at the same
 * digital levels. Output and input are the same both times, so that their calibrations cancel and only the loop's
 * proportionality between the two levels at the input counts; it is measured in the straight loop.
 *
 * @throws OhmestError saying why no result can be given; nothing has been written then
 */
export async function calibrateAttenuator(work: CalibrationWork): Promise<CalibrationFinding[]> {
  await connect(
    work,
    'loop',
    `First without attenuators. ${plainCables(work)}, and is no amplifier connected?`,
  );
  const direct = await onStand(work, (stand) => readDirect(stand));
  await connect(work, 'loop-through-attenuator', `Now through the attenuators. ${throughAttenuators(work)}?`);
  return onStand(work, (stand) => readThrough(stand, direct));
}

async function readDirect(stand: ToneStand): Promise<Map<number, Direct>> {
  const { work, chains } = stand;
  const gains = await hearLoops(stand);
  const tops = (work.levels_dB ?? LEVELS_dB).map((level_dB) => peaksForInput(chains, level_dB, gains));
  // As loud as it will be behind the attenuator, to see whether the loop is still proportional there.
  const low = new Map(
    chains.map((chain) => [chain.channel, tops[0]!.get(chain.channel)! / chain.attenuator_ratio]),
  );
  const heard: Map<number, number>[] = [];
  for (const peaks of [...tops, low]) heard.push(await levelsAt(stand, peaks));
  return new Map(
    chains.map(({ channel }) => {
      const peaks = tops.map((top) => top.get(channel)!);
      const levels = heard.slice(0, -1).map((level) => level.get(channel)!);
      const proportions = [...peaks, low.get(channel)!].map((peak, i) => heard[i]!.get(channel)! / peak);
      const departures = proportions.map((proportion) => Math.abs(proportion / proportions[0]! - 1));
      return [channel, { peaks, heard: levels, linearity_percent: 100 * Math.max(...departures) }];
    }),
  );
}

async function readThrough(
  stand: ToneStand,
  direct: ReadonlyMap<number, Direct>,
): Promise<CalibrationFinding[]> {
  const { chains } = stand;
  await hearLoops(stand);
  const ratios = new Map<number, Series[]>(chains.map(({ channel }) => [channel, []]));
  const levels = direct.get(chains[0]!.channel)!.peaks.length;
  for (let i = 0; i < levels; i += 1) {
    const heard = await levelsAt(
      stand,
      new Map([...direct].map(([channel, { peaks }]) => [channel, peaks[i]!])),
    );
    for (const { channel } of chains) {
      const at = heard.get(channel)!;
      ratios.get(channel)!.push({ at, value: direct.get(channel)!.heard[i]! / at });
    }
  }
  return chains.map((chain) =>
    ratioFinding(chain, meanOf(ratios.get(chain.channel)!), direct.get(chain.channel)!),
  );
}

function ratioFinding(chain: ChannelChain, mean: Mean, direct: Direct): CalibrationFinding {
  const { channel, attenuator_ratio: written } = chain;
  const factor = mean.value / written;
  if (factor > MOST_FACTOR || factor < 1 / MOST_FACTOR)
    throw new ReadingImplausible({
      what: `the attenuator divides by ${mean.value.toPrecision(4)}, and the bench file says ${written}`,
      where: `channel ${channel}`,
      mend:
        Math.abs(mean.value - 1) < 0.05
          ? 'It looks as if the attenuator were still left out; put it into the loop'
          : 'Check which attenuator is connected and how it is switched, or correct the ratio in the bench file first',
    });
  const what = `attenuator ${channel}`;
  requireLinear(mean.departure_percent, mean.worst.at, what, channel);
  requireLinear(direct.linearity_percent, direct.heard[0]!, `the loop of channel ${channel}`, channel);
  return finding({
    kind: 'attenuator',
    channel,
    value: mean.value,
    standing: [
      ...scatter(`${what}: scatter over the levels`, mean.standard_percent, mean.freedom),
      ...rectangular(`${what}: proportionality of the loop`, direct.linearity_percent),
      ...contacts(what),
    ],
    notes: [
      'Level of the same output straight into the input divided by its level through the attenuator, near 1 kHz: the calibrations of output and input cancel.',
      'An output of 100 ohm gives 1 % less into an attenuator of 10 kohm than into an open input: that is not taken out.',
    ],
  });
}

/** Digital level at the input of every channel asked for, by channel. */
async function levelsAt(stand: ToneStand, peaks: ByChannel): Promise<Map<number, number>> {
  stand.set(TONE_Hz, peaks);
  const heard = await stand.readClean();
  return new Map([...heard].map(([channel, { fundamental_rms }]) => [channel, fundamental_rms * Math.SQRT2]));
}
