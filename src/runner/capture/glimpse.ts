import { setImmediate as yieldToOthers } from 'node:timers/promises';
import { loadVoltsPerUnit } from '../../calibration/chain.js';
import { responseAt } from '../../calibration/response.js';
import { warmResistance_ohm } from '../../calibration/warm-load.js';
import { type QuickReading, quickReadings } from '../../measure/settled.js';
import type { CoherentTone } from '../../signal/coherent-tone.js';
import { decibelsOfVoltage, voltageRatio } from '../../units/decibel.js';
import type { StepStage } from '../course/walk.js';
import type { LevelReading } from '../search/crossing-bracket.js';

/** What part of a record shows of one channel: near enough to plan by, too little to report. */
export interface Glimpse extends LevelReading {
  /** Load volts over interface output volts. */
  readonly gain_dB: number;
}

/**
 * A glimpse of every measured channel from half a record each: fundamental and low harmonics by fit, noise in the default
 * band, the load as warm as it was before. Lets other work run between channels: a sound bench must be fed meanwhile.
 *
 * @param halves samples by the step's `measured`, digital full scale = 1
 */
export async function glimpsesOf(
  { walk, step }: StepStage,
  { tone, outputs_V }: { readonly tone: CoherentTone; readonly outputs_V: readonly number[] },
  halves: readonly Float64Array[],
): Promise<Glimpse[]> {
  const glimpses: Glimpse[] = [];
  for (const [i, half] of halves.entries()) {
    const [{ fundamental_rms, residue_rms }] = quickReadings([half], tone) as [QuickReading];
    const chain = walk.chain(step.measured[i]!);
    const level_dB = chain.response ? responseAt(chain.response, tone.frequency_Hz).level_dB : 0;
    const scale_V = loadVoltsPerUnit(chain) / voltageRatio(level_dB);
    const total_rms = Math.hypot(fundamental_rms, residue_rms);
    const load = walk.load(chain.channel, step.load_ohm);
    glimpses.push({
      channel: chain.channel,
      power_W: (total_rms * scale_V) ** 2 / warmResistance_ohm(load, walk.heat.of(chain.channel, load)),
      thdn_percent: (100 * residue_rms) / total_rms,
      gain_dB: decibelsOfVoltage((fundamental_rms * scale_V) / outputs_V[i]!),
    });
    await yieldToOthers();
  }
  return glimpses;
}
