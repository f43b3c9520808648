import type { ChannelChain, CurrentTap } from '../../calibration/chain.js';
import { loadVoltsPerUnit } from '../../calibration/chain.js';
import { expectedImpedance_ohm, loadTolerance_percent } from '../../calibration/load-check.js';
import type { MeasuredPower } from '../../calibration/power-budget.js';
import { responseAt } from '../../calibration/response.js';
import { fitHarmonics, type HarmonicFit } from '../../measure/harmonic-fit.js';
import { levelOf } from '../../measure/level.js';
import type { CoherentTone } from '../../signal/coherent-tone.js';
import { voltageRatio } from '../../units/decibel.js';

/** What a current shunt and the tap at the load gave in one record. */
export interface SensedCurrent {
  /** Rms current, DC left out. */
  readonly rms_A: number;
  /** Rms of the tone, by the same fit on both records, so that what clocks do to it cancels in their ratio. */
  readonly fundamental_A: number;
  readonly fundamental_V: number;
  /** Standard deviation of these two by all that is not the tone. */
  readonly doubt_A: number;
  readonly doubt_V: number;
}

/** Multiples of its standard deviation within which a current is chance. */
const CHANCE = 4;

/**
 * Reads a current shunt against the tap at the load. Its input is taken to have the response that was recorded of the
 * channel's own: inputs of one interface are alike, so that the response cancels in the ohms.
 */
export function sensedCurrent(
  voltage: Float64Array,
  current: Float64Array,
  chain: ChannelChain & { readonly current: CurrentTap },
  tone: CoherentTone,
): SensedCurrent {
  const level_dB = chain.response ? responseAt(chain.response, tone.frequency_Hz).level_dB : 0;
  const level = voltageRatio(level_dB);
  const amperes = chain.current.fullScale_Vpk / chain.current.shunt_ohm / level;
  const volts = loadVoltsPerUnit(chain) / level;
  const [atLoad, atShunt] = [voltage, current].map((samples) => toneOf(samples, tone));
  const { rms, dc } = levelOf(current);
  return {
    rms_A: amperes * Math.sqrt(Math.max(0, rms ** 2 - dc ** 2)),
    fundamental_A: amperes * atShunt!.rms,
    fundamental_V: volts * atLoad!.rms,
    doubt_A: amperes * atShunt!.doubt,
    doubt_V: volts * atLoad!.doubt,
  };
}

function toneOf(samples: Float64Array, { cycles, frames }: CoherentTone) {
  const fit: HarmonicFit = fitHarmonics(samples, cycles / frames, 1);
  const { cosine, sine } = fit.orders[0]!;
  return { rms: Math.hypot(cosine, sine) / Math.SQRT2, doubt: levelOf(fit.residue).rms / Math.sqrt(frames) };
}

/** Ohms that a load shows while it works; null when it takes no current at all. */
export function loadSeen_ohm({ fundamental_A, fundamental_V }: SensedCurrent): number | null {
  return fundamental_A > 0 ? fundamental_V / fundamental_A : null;
}

/** Whether the current is another than the load that is said to be there would take at this voltage. */
export function loadDiffers(sensed: SensedCurrent, power: MeasuredPower): boolean {
  const impedance_ohm = expectedImpedance_ohm(power);
  const expected_A = sensed.fundamental_V / impedance_ohm;
  const chance_A = CHANCE * (sensed.doubt_A + sensed.doubt_V / impedance_ohm);
  const tolerance_A = (expected_A * loadTolerance_percent(power)) / 100;
  return Math.abs(sensed.fundamental_A - expected_A) > tolerance_A + chance_A;
}
