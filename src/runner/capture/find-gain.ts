import { benchFault } from '../../errors/error-table.js';
import type { Reading } from '../../record/run-record.js';
import type { CoherentTone } from '../../signal/coherent-tone.js';
import { voltageRatio } from '../../units/decibel.js';
import type { StepStage } from '../course/walk.js';
import type { DrivenChannel } from './drive.js';
import { measurePoint } from './measure-point.js';

/** A measured channel stayed silent at its tap, with the interface output in volts. */
export const NothingAtTap = benchFault('NOTHING_AT_TAP', (channel: number, output_V: number) => ({
  what: `nothing but noise at the tap with ${output_V.toPrecision(3)} V at the interface output`,
  where: `channel ${channel}`,
  mend: 'Check that the unit is on and not muted. Check the cables from this output to the unit, and from the attenuator to its input',
}));

const STEP_UP = voltageRatio(10);
/** A tone this far out of its noise gives its level to a few parts in a thousand. */
const CLEAR_THDN_PERCENT = 20;

/** A channel that leaks is driven at most 3 dB harder than the loudest one. */
const LEAKING_SHARE = voltageRatio(-3);

/** The gain counts once the loudest channel gives this part of the power that it will be used for. */
const NEAR_ENOUGH = 1 / 10;

/**
 * Finds the gain of every measured channel with a tone so weak that a unit of the highest gain the bench
 * file allows for would give no more than `power_W`. While the tap shows nothing but noise, or far less
 * than that power, the tone is raised in steps of 10 dB: what the tap shows bounds what is at the load. A
 * unit that is muted, gated or idle in its crossover leaks a little of a weak tone; its gain taken from
 * that would have the next level played far too loud.
 *
 * @throws NothingAtTap when a channel is still silent at the interface's full output
 */
export async function findGain(
  stage: StepStage,
  tone: CoherentTone,
  power_W: number,
): Promise<DrivenChannel[]> {
  const { walk, step } = stage;
  const { setup } = walk.request;
  const parts = step.measured.map((channel) => ({
    chain: walk.chain(channel),
    load: walk.load(channel, step.load_ohm),
  }));
  const fullScale_V = Math.min(...parts.map(({ chain }) => chain.outputFullScale_Vpk / Math.SQRT2));
  const assumedGain = voltageRatio(setup.assumedGain_dB);
  const safest_V = Math.min(...parts.map(({ load }) => Math.sqrt(power_W * load.measured_ohm) / assumedGain));
  let raise: number = STEP_UP;
  for (let output_V = Math.min(safest_V, fullScale_V); ; output_V = Math.min(output_V * raise, fullScale_V)) {
    const outputs_V = parts.map(() => output_V);
    const { readings } = await measurePoint(stage, { tone, outputs_V, asked_W: null });
    const powers_W = readings.map((reading) => reading.power_W);
    const loudest_W = Math.max(...powers_W);
    // A unit with a crossover fault never gives a clean tone at low level: then a tone at all must do.
    const near = loudest_W > NEAR_ENOUGH * power_W;
    const most_percent = near ? Number.POSITIVE_INFINITY : CLEAR_THDN_PERCENT;
    const unclear = readings.find(
      ({ flags, thdn_percent }) => flags.includes('no-tone') || thdn_percent > most_percent,
    );
    const most = loudest_W > power_W / 2 || output_V >= fullScale_V;
    const everyNear = Math.min(...powers_W) > NEAR_ENOUGH * power_W;
    if (!unclear && (everyNear || most)) return withGains(parts, readings, output_V, power_W);
    if (unclear && most) throw new NothingAtTap(unclear.channel, output_V);
    // A channel that stays behind may wake up with level, but the loudest goes no further than the power asked for.
    raise = near ? Math.min(STEP_UP, Math.sqrt(power_W / loudest_W)) : STEP_UP;
  }
}

/**
 * The gain of each channel as read; but one that is far behind where the loudest gives plenty, as one is that leaks
 * through a crossover fault or a mute, is taken to have almost the loudest's gain: its own would have it driven as many
 * times too hard as it leaks too little.
 */
function withGains(
  parts: readonly Omit<DrivenChannel, 'gain'>[],
  readings: readonly Reading[],
  output_V: number,
  power_W: number,
): DrivenChannel[] {
  const gains = readings.map((reading) => reading.fundamental_V / output_V);
  const least = LEAKING_SHARE * Math.max(...gains);
  return parts.map((part, i) => {
    const behind = readings[i]!.power_W < NEAR_ENOUGH * power_W;
    return { ...part, gain: behind ? Math.max(gains[i]!, least) : gains[i]! };
  });
}
