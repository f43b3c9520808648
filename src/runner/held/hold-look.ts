import { envelopeOf } from '../../measure/cause/envelope.js';
import { levelOf } from '../../measure/level.js';
import { looksAt } from '../../measure/settled.js';
import type { CoherentTone } from '../../signal/coherent-tone.js';
import { decibelsOfVoltage } from '../../units/decibel.js';

/** What a quick look at a record tells, in digital units: a small part of what a full analysis costs. */
export interface HoldLook {
  /** In the default band, as a reading's. */
  readonly rms: number;
  readonly thdn_percent: number;
  readonly dc: number;
  /** Least level of any stretch of 10 ms (or a cycle) of the record, dB below its median. */
  readonly dip_dB: number;
}

/** A silent stretch has no level in dB: it counts as this far down. */
const DEEPEST_dB = 120;

/** Looks quickly at one record of each channel. */
export function holdLooks(records: readonly Float64Array[], tone: CoherentTone): HoldLook[] {
  const looks = looksAt(records, tone);
  return records.map((record, i) => {
    const { fundamental_rms, residue_rms } = looks[i]!;
    const rms = Math.hypot(fundamental_rms, residue_rms);
    const { least } = envelopeOf(record, tone.cycles / tone.frames, tone.rate_Hz);
    return {
      rms,
      thdn_percent: rms > 0 ? (100 * residue_rms) / rms : 100,
      dc: levelOf(record).dc,
      dip_dB: least > 0 ? Math.min(DEEPEST_dB, Math.max(0, -decibelsOfVoltage(least))) : DEEPEST_dB,
    };
  });
}
