import type { ChannelChain } from '../calibration/chain.js';
import { contacts, scatter } from './accuracy.js';
import { NothingToCompareWith } from './calibration-errors.js';
import { type ByChannel, type CalibrationWork, chainsOf, connectLoops, counted } from './calibration-work.js';
import { type CalibrationFinding, finding } from './finding.js';
import { fitGain, type MeterReading, meanOf, type Series } from './gain-fit.js';
import { hearLoops, peaksForInput, TOP_dB } from './loops.js';
import { readLevels } from './read-levels.js';
import { requireAccuracy, requireLinear } from './requirements.js';
import { onStand, type ToneStand } from './tone-stand.js';

const TONE_Hz = 1000;
const LEVELS_dB = [-40, -20, -12, -6, -3, TOP_dB];

/** What the volts at an input are known by: the calibrated output at the other end of the cable, or a meter across it. */
export type VoltsBy = 'output' | 'meter';

/**
 * Peak volts at digital full scale of every input asked for, fed from its own output by a cable, attenuator left out.
 *
 * With `output` the volts follow from the calibrated output, and what stands behind that stands behind the input too.
 * With `meter` they are read across the cable, and no output need be calibrated.
 *
 * @throws OhmestError saying why no result can be given; nothing has been written then
 */
export async function calibrateInput(work: CalibrationWork, by: VoltsBy): Promise<CalibrationFinding[]> {
  const chains = chainsOf(work);
  if (by === 'output') requireOutputs(chains);
  else requireAccuracy(work);
  await connectLoops(work);
  return onStand(work, async (stand) => {
    const gains = await hearLoops(stand);
    return by === 'output' ? byOutputs(stand, gains) : byMeter(stand);
  });
}

function requireOutputs(chains: readonly ChannelChain[]): void {
  const bare = chains.filter(({ outputStated }) => outputStated === null);
  if (bare.length === 0) return;
  throw new NothingToCompareWith({
    what: `nothing is known of how well ${counted(
      'output',
      bare.map(({ output }) => output),
    )} ${bare.length > 1 ? 'are' : 'is'} calibrated`,
    mend: 'Run `ohmest calibrate output` first and name its record in the bench file, or read the volts across the cable with a meter: --metered',
  });
}

async function byOutputs(stand: ToneStand, gains: ByChannel): Promise<CalibrationFinding[]> {
  const { work, chains } = stand;
  const readings = new Map<number, Series[]>(chains.map(({ channel }) => [channel, []]));
  for (const level_dB of work.levels_dB ?? LEVELS_dB) {
    const peaks = peaksForInput(chains, level_dB, gains);
    stand.set(TONE_Hz, peaks);
    const analyses = await stand.readClean();
    for (const { channel, outputFullScale_Vpk } of chains) {
      const at = analyses.get(channel)!.fundamental_rms * Math.SQRT2;
      readings.get(channel)!.push({ at, value: (peaks.get(channel)! * outputFullScale_Vpk) / at });
    }
  }
  return chains.map((chain) => {
    const mean = meanOf(readings.get(chain.channel)!);
    const what = `input ${chain.input}`;
    requireLinear(mean.departure_percent, mean.worst.at, what, chain.channel);
    return finding({
      kind: 'input',
      channel: chain.channel,
      value: mean.value,
      standing: [
        ...chain.outputStated!,
        ...scatter(`${what}: scatter over the levels`, mean.standard_percent, mean.freedom),
        ...contacts(what),
      ],
      linearity_percent: mean.departure_percent,
      notes: [
        `Fed near 1 kHz from output ${chain.output} by a cable; that output's calibration stands behind this one (${outputRecord(chain)}).`,
      ],
    });
  });
}

async function byMeter(stand: ToneStand): Promise<CalibrationFinding[]> {
  const { work, chains } = stand;
  const accuracy = requireAccuracy(work);
  const findings: CalibrationFinding[] = [];
  for (const chain of chains) {
    const what = `input ${chain.input}`;
    work.tell(`Put the meter across the cable of output ${chain.output}.`);
    const heard: number[] = [];
    const volts = await readLevels(stand, chain, accuracy, async () => {
      const analyses = await stand.readClean('level', [chain]);
      heard.push(analyses.get(chain.channel)!.fundamental_rms * Math.SQRT2);
    });
    const readings: MeterReading[] = volts.map(({ reading_V }, i) => ({ peak: heard[i]!, reading_V }));
    const fit = fitGain(readings, accuracy, what);
    requireLinear(fit.linearity_percent, readings[fit.worst]!.peak, what, chain.channel);
    findings.push(
      finding({
        kind: 'input',
        channel: chain.channel,
        value: fit.fullScale_Vpk,
        standing: fit.standing,
        linearity_percent: fit.linearity_percent,
        notes: [
          `Fed near 1 kHz from output ${chain.output} by a cable, volts read across it with the meter.`,
        ],
      }),
    );
  }
  return findings;
}

/** Name of the record that an output was taken from, for a note. */
const outputRecord = ({ records }: ChannelChain): string =>
  records.find(({ kind }) => kind === 'output')?.id ?? 'stated in the bench file';
