import type { ChannelChain } from '../calibration/chain.js';
import { decibelsOfVoltage, voltageRatio } from '../units/decibel.js';
import { listed } from '../units/listed.js';
import type { Accuracy } from './accuracy.js';
import { type CalibrationWork, chainsOf, confirmed, connect } from './calibration-work.js';
import { type CalibrationFinding, finding } from './finding.js';
import { fitGain } from './gain-fit.js';
import { readLevels } from './read-levels.js';
import { requireAccuracy, requireLinear } from './requirements.js';
import { onStand, type ToneStand } from './tone-stand.js';

/** Level above which an input hears more than crosstalk. */
const HEARD = voltageRatio(-60);

/**
 * Peak volts at digital full scale of every output asked for, read with a meter at the output.
 *
 * @throws OhmestError saying why a reading cannot be right; nothing has been written then
 */
export async function calibrateOutput(work: CalibrationWork): Promise<CalibrationFinding[]> {
  const accuracy = requireAccuracy(work);
  const findings: CalibrationFinding[] = [];
  for (const chain of chainsOf(work)) {
    await connect(
      work,
      'open',
      `Is the meter, on AC volts (true rms), across output ${chain.output}, and nothing else connected to that output: no amplifier, no loop?`,
    );
    findings.push(await onStand(work, (stand) => outputFinding(stand, chain, accuracy)));
  }
  return findings;
}

async function outputFinding(
  stand: ToneStand,
  chain: ChannelChain,
  accuracy: Accuracy,
): Promise<CalibrationFinding> {
  const readings = await readLevels(stand, chain, accuracy, async (_, index) => {
    if (index === 0) await lookForJoint(stand, chain);
  });
  const fit = fitGain(readings, accuracy, `output ${chain.output}`);
  requireLinear(fit.linearity_percent, readings[fit.worst]!.peak, `output ${chain.output}`, chain.channel);
  const volts = readings.map(({ reading_V }) => Number(reading_V.toPrecision(6)));
  const levels = readings.map(({ peak }) => decibelsOfVoltage(peak).toFixed(0));
  return finding({
    kind: 'output',
    channel: chain.channel,
    value: fit.fullScale_Vpk,
    standing: fit.standing,
    linearity_percent: fit.linearity_percent,
    notes: [
      `Meter at the unloaded output, near 1 kHz: ${volts.join(', ')} V rms at ${levels.join(', ')} dB; gain by weighted fit through zero.`,
    ],
  });
}

/** An input that hears an output that should be open: an amplifier may hang between them. Asks. @throws NotConfirmed */
async function lookForJoint(stand: ToneStand, chain: ChannelChain): Promise<void> {
  const analyses = await stand.read('any');
  const hearing = stand.work.setup.channels.filter(
    (_, i) => analyses[i]!.fundamental_rms * Math.SQRT2 > HEARD,
  );
  if (hearing.length === 0) return;
  await stand.hold(() =>
    confirmed(
      stand.work,
      `Output ${chain.output} appears on input ${listed(hearing.map(({ input }) => input))}: they are connected. Is that only a cable, and no amplifier?`,
    ),
  );
}
