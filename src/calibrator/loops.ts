import type { ChannelChain } from '../calibration/chain.js';
import { decibelsOfVoltage, voltageRatio } from '../units/decibel.js';
import { ChannelsSwapped, NothingHeard } from './calibration-errors.js';
import type { ByChannel } from './calibration-work.js';
import { requireClean } from './requirements.js';
import type { ToneStand } from './tone-stand.js';

/** Highest level at an input: clear of its rail, and of the `near-input-rail` flag. */
export const TOP_dB = -1.5;
/** Highest level at an output: clear of its rail. */
const MOST_PEAK = voltageRatio(-1);

/**
 * Digital peak at the output that gives a level at the input of a loop; the highest one allowed where that is not enough.
 *
 * @param level_dB at the input, relative to full scale
 * @param gain level at the input for a level of 1 at the output
 */
export function peakForInput(level_dB: number, gain: number): number {
  return Math.min(voltageRatio(level_dB) / gain, MOST_PEAK);
}

/** The same for every channel of several loops, by bench channel. @param gains of the loops */
export const peaksForInput = (
  chains: readonly ChannelChain[],
  level_dB: number,
  gains: ByChannel,
): Map<number, number> =>
  new Map(chains.map(({ channel }) => [channel, peakForInput(level_dB, gains.get(channel)!)]));

/** Highest level that a loop of this gain brings to its input, dB relative to full scale. */
export function mostAtInput_dB(gain: number): number {
  return decibelsOfVoltage(MOST_PEAK * gain);
}

/** Level of the first tone: loud enough for any attenuator, far from every rail. */
const FIRST_PEAK = voltageRatio(-20);
/** Below this share of full scale nothing was heard but the converter itself. */
const SILENCE = voltageRatio(-95);
/** An input this much weaker than the loudest one hears a neighbour through the air. */
const APART = voltageRatio(-20);
const LISTEN_Hz = 1000;

/**
 * Plays one output after the other at a low level and listens on all inputs.
 *
 * @returns by bench channel: digital level at its input for a digital level of 1 at its output
 * @throws NothingHeard, ChannelsSwapped naming who hears whom, ConverterClips, ReadingUnstable
 */
export async function hearLoops(stand: ToneStand): Promise<Map<number, number>> {
  const gains = new Map<number, number>();
  const wrong: string[] = [];
  const deaf: ChannelChain[] = [];
  const { channels } = stand.work.setup;
  for (const chain of stand.chains) {
    stand.set(LISTEN_Hz, new Map([[chain.channel, FIRST_PEAK]]));
    const analyses = await stand.read('any');
    const levels = analyses.map(({ fundamental_rms }) => fundamental_rms * Math.SQRT2);
    const own = levels[channels.indexOf(chain)]!;
    const loudest = Math.max(...levels);
    const hearing = channels.filter((_, i) => levels[i]! > SILENCE && levels[i]! >= APART * loudest);
    // Channels that take turns at an input all hear what comes in there.
    const inputs = [...new Set(hearing.map(({ input }) => input))];
    if (inputs.length === 0) deaf.push(chain);
    else if (inputs.length > 1 || inputs[0] !== chain.input) wrong.push(whoHears(chain, inputs));
    requireClean(analyses, hearing, channels);
    gains.set(chain.channel, own / FIRST_PEAK);
  }
  if (wrong.length > 0)
    throw new ChannelsSwapped({
      what: `${wrong.join(', ')}${deaf.length > 0 ? `, and nothing of ${outputsOf(deaf)}` : ''}`,
      mend: 'Connect every output to the input of its own channel, one cable each, and switch off monitoring and mixing in the sound interface',
    });
  if (deaf.length > 0)
    throw new NothingHeard({
      what: `nothing is heard of ${outputsOf(deaf)} on any input`,
      mend: 'Check the cable, phantom power and gain of the interface, and that its mixer sends the played channel to this output',
    });
  return gains;
}

function outputsOf(chains: readonly ChannelChain[]): string {
  return chains.map(({ output }) => `output ${output}`).join(', ');
}

function whoHears({ output, input }: ChannelChain, inputs: readonly number[]): string {
  return `output ${output} appears on input${inputs.length > 1 ? 's' : ''} ${inputs.join(' and ')} (input ${input} is its own)`;
}
