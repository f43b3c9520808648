import { loadVoltsPerUnit } from '../calibration/chain.js';
import { responseAt } from '../calibration/response.js';
import { warmResistance_ohm } from '../calibration/warm-load.js';
import { looksAt } from '../measure/settled.js';
import type { CoherentTone } from '../stimulus/coherent-tone.js';
import type { LevelReading } from './crossing-bracket.js';
import type { StepStage } from './walk.js';

/** What part of a record shows of one channel: near enough to plan by, too little to report. */
export interface Glimpse extends LevelReading {
  /** Load volts over interface output volts. */
  readonly gain_dB: number;
}

/**
 * A glimpse of every measured channel from half a record each: fundamental and low harmonics by fit, noise in the default
 * band, the load as warm as it was before.
 *
 * @param halves samples by the step's `measured`, digital full scale = 1
 */
export function glimpsesOf(
  { walk, step }: StepStage,
  { tone, outputs_V }: { readonly tone: CoherentTone; readonly outputs_V: readonly number[] },
  halves: readonly Float64Array[],
): Glimpse[] {
  return looksAt(halves, tone).map(({ fundamental_rms, residue_rms }, i) => {
    const chain = walk.chain(step.measured[i]!);
    const level_dB = chain.response ? responseAt(chain.response, tone.frequency_Hz).level_dB : 0;
    const scale_V = loadVoltsPerUnit(chain) / 10 ** (level_dB / 20);
    const total_rms = Math.hypot(fundamental_rms, residue_rms);
    const load = walk.load(chain.channel, step.load_ohm);
    return {
      channel: chain.channel,
      power_W: (total_rms * scale_V) ** 2 / warmResistance_ohm(load, walk.heat.of(chain.channel, load)),
      thdn_percent: (100 * residue_rms) / total_rms,
      gain_dB: 20 * Math.log10((fundamental_rms * scale_V) / outputs_V[i]!),
    };
  });
}
