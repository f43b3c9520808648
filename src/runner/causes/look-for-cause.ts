import { loadVoltsPerUnit } from '../../calibration/chain.js';
import type { EvidencePair } from '../../measure/cause/evidence.js';
import { evidenceOf, type PointEvidence } from '../../measure/cause/evidence.js';
import type { CoherentTone } from '../../signal/coherent-tone.js';
import { voltageRatio } from '../../units/decibel.js';
import { measurePoint } from '../capture/measure-point.js';
import { CaptureDamaged } from '../capture/take-record.js';
import { restIfHot } from '../course/rest.js';
import type { StepStage } from '../course/walk.js';

/** The small-signal capture is taken so far below the other. */
const LOW = voltageRatio(-20);

/** Where to look: interface output volts of every measured channel, and the most watts that they ask of any. */
export interface CauseAim {
  readonly tone: CoherentTone;
  readonly outputs_V: readonly number[];
  readonly asked_W: number;
}

/**
 * Plays two levels and gathers what the captures of some channels show. Neither is kept as a point: they are no readings
 * of a protocol, and the evidence says what they gave.
 *
 * @param indexes of the channels, among the step's measured ones
 * @returns by index; null when the capture was damaged at every try, which is noted
 */
export async function lookForCause(
  stage: StepStage,
  { tone, outputs_V, asked_W }: CauseAim,
  indexes: readonly number[],
): Promise<Map<number, EvidencePair> | null> {
  await restIfHot(stage, asked_W, tone);
  try {
    const failing = await evidenceAt(stage, tone, outputs_V, asked_W, indexes);
    const down_V = outputs_V.map((output_V) => LOW * output_V);
    const low = await evidenceAt(stage, tone, down_V, LOW ** 2 * asked_W, indexes);
    return new Map(indexes.map((index, i) => [index, { failing: failing[i]!, low: low[i]! }]));
  } catch (error) {
    if (!(error instanceof CaptureDamaged)) throw error;
    await stage.walk.note(
      'cause',
      `no cause looked for at ${tone.frequency_Hz.toFixed(0)} Hz: ${error.message}`,
    );
    return null;
  }
}

async function evidenceAt(
  stage: StepStage,
  tone: CoherentTone,
  outputs_V: readonly number[],
  asked_W: number,
  indexes: readonly number[],
): Promise<PointEvidence[]> {
  const { walk, step } = stage;
  const { capture } = await measurePoint(stage, { tone, outputs_V, asked_W });
  return indexes.map((index) => {
    const { channel, samples } = capture.channels[index]!;
    const load_ohm = walk.load(channel, step.load_ohm).measured_ohm;
    const voltsPerUnit = loadVoltsPerUnit(walk.chain(channel));
    return evidenceOf(samples, tone, { voltsPerUnit, load_ohm, drive: outputs_V[index]! });
  });
}
