import type { ChannelChain } from '../calibration/chain.js';
import type { ResponsePoint } from '../calibration/response.js';
import type { ChannelAnalysis } from '../measure/analysis.js';
import { frequenciesOf } from '../sequence/frequency-list.js';
import type { CoherentTone } from '../signal/coherent-tone.js';
import { decibelsOfVoltage } from '../units/decibel.js';
import { formatQuantity } from '../units/format.js';
import { type Accuracy, countsLimit } from './accuracy.js';
import { type ByChannel, type CalibrationWork, connect, throughAttenuators } from './calibration-work.js';
import { type CalibrationFinding, finding } from './finding.js';
import { hearLoops, peakForInput, peaksForInput } from './loops.js';
import { askPlausibly, implausible } from './plausible.js';
import { requireAccuracy, requireFine } from './requirements.js';
import { onStand, type ToneStand, walkPoints } from './tone-stand.js';

const REFERENCE_Hz = 1000;
const LEVEL_dB = -6;
/** Fewer frequencies where somebody has to read a meter at each. */
const METERED_Hz = [20, 50, 100, 200, 500, 1000, 2000, 5000, 10_000, 20_000];
/** Share by which an output may sag or rise in the band before a reading looks wrong. */
const METERED_WITHIN = 0.3;
/** Limits for what output and input may deviate opposite ways, so that the loop does not show it: common practice, no source. */
const HIDDEN_dB = 0.001;
/** Percent to decibels, for small shares. */
const DECIBELS_PER_PERCENT = 20 / Math.LN10 / 100;
const ROOT_3 = Math.sqrt(3);

/** What one frequency gave on one channel. */
interface Heard {
  readonly frequency_Hz: number;
  /** Level at the input relative to what was played, dB. */
  readonly level_dB: number;
  /** Standard uncertainty of it by noise. */
  readonly noise_dB: number;
}

/**
 * Level of the way from the tap through the attenuator to the converter code against frequency, relative to 1 kHz.
 *
 * By loop alone (`metered` false) the deviation d of the whole loop is known, and not how output and input share it. As long
 * as both fall off the same way, the input's share lies between none and all of it: its best estimate is d/2 with
 * rectangular limits of |d|/2. Derived; no source. A thousandth of a decibel is allowed for where they do not.
 * With a meter that is good at every frequency the output's own deviation is read and taken out.
 *
 * @throws OhmestError saying why no result can be given; nothing has been written then
 */
export async function calibrateResponse(
  work: CalibrationWork,
  metered: boolean,
): Promise<CalibrationFinding[]> {
  if (metered) requireAccuracy(work);
  await connect(work, 'loop-through-attenuator', `${throughAttenuators(work)}?`);
  return onStand(work, async (stand) => {
    const gains = await hearLoops(stand);
    return metered ? withMeter(stand, gains) : byLoop(stand, gains);
  });
}

async function byLoop(stand: ToneStand, gains: ByChannel): Promise<CalibrationFinding[]> {
  const { chains } = stand;
  const band = frequenciesOf({
    kind: 'band',
    spacing: { kind: 'preferred', perDecade: 10 },
    low_Hz: 20,
    high_Hz: 20_000,
  });
  const peaks = peaksForInput(chains, LEVEL_dB, gains);
  const heard = new Map<number, Heard[]>(chains.map(({ channel }) => [channel, []]));
  // The reference comes first and last: what it has moved by meanwhile is a limit for all others.
  const points = [REFERENCE_Hz, ...inBand(stand, band), REFERENCE_Hz].map((nominal_Hz) => ({
    nominal_Hz,
    peaks,
  }));
  await walkPoints(stand, points, async ({ nominal_Hz }) => {
    const analyses = await stand.readClean('residue');
    const tone = stand.tone(nominal_Hz);
    for (const [channel, analysis] of analyses)
      heard.get(channel)!.push(heardOf(analysis, tone, peaks.get(channel)!));
  });
  return chains.map((chain) => {
    const [first, ...rest] = heard.get(chain.channel)!;
    const last = rest.pop()!;
    const moved_dB = Math.abs(last.level_dB - first!.level_dB);
    const points = rest.map(({ frequency_Hz, level_dB, noise_dB }) => {
      const deviation_dB = level_dB - first!.level_dB;
      return {
        frequency_Hz,
        level_dB: deviation_dB / 2,
        uncertainty_dB: Math.hypot(
          HIDDEN_dB / ROOT_3,
          Math.abs(deviation_dB) / 2 / ROOT_3,
          moved_dB / ROOT_3,
          noise_dB,
          first!.noise_dB,
        ),
      };
    });
    return responseFinding(
      chain,
      points,
      'By loop through the attenuator, without a meter: half of what the loop deviates is taken as that of the input, with limits of the other half.',
    );
  });
}

async function withMeter(stand: ToneStand, gains: ByChannel): Promise<CalibrationFinding[]> {
  const accuracy = requireAccuracy(stand.work);
  const findings: CalibrationFinding[] = [];
  for (const chain of stand.chains) {
    const peak = peakForInput(LEVEL_dB, gains.get(chain.channel)!);
    const played_V = (peak * chain.outputFullScale_Vpk) / Math.SQRT2;
    requireFine(accuracy, played_V, 'V', chain.channel);
    const peaks = new Map([[chain.channel, peak]]);
    const frequencies = [REFERENCE_Hz, ...inBand(stand, METERED_Hz).filter((f) => f !== REFERENCE_Hz)];
    const taken: { heard: Heard; reading_V: number }[] = [];
    const points = frequencies.map((nominal_Hz) => ({ nominal_Hz, peaks }));
    await walkPoints(stand, points, async ({ nominal_Hz }) => {
      const analysis = (await stand.readClean('residue', [chain])).get(chain.channel)!;
      const tone = stand.tone(nominal_Hz);
      const about_V = taken[0]?.reading_V ?? played_V;
      const reading_V = await readAt(stand, chain, tone.frequency_Hz, about_V);
      taken.push({ heard: heardOf(analysis, tone, peak), reading_V });
    });
    findings.push(
      responseFinding(
        chain,
        pointsOf(taken, accuracy),
        'By loop through the attenuator; what the output itself deviates was read with the meter at every frequency and taken out.',
      ),
    );
  }
  return findings;
}

/** Points in the order of frequency, the output's own deviation taken out. The first entry is the reference. */
function pointsOf(
  taken: readonly { heard: Heard; reading_V: number }[],
  accuracy: Accuracy,
): ResponsePoint[] {
  const reference = taken[0]!;
  return taken
    .map(({ heard, reading_V }) => {
      const output_dB = decibelsOfVoltage(reading_V / reference.reading_V);
      const isReference = heard === reference.heard;
      const counts_percent = (100 * countsLimit(accuracy)) / Math.min(reading_V, reference.reading_V);
      const meter_dB = isReference ? 0 : Math.hypot(accuracy.percent, counts_percent) * DECIBELS_PER_PERCENT;
      return {
        frequency_Hz: heard.frequency_Hz,
        level_dB: heard.level_dB - reference.heard.level_dB - output_dB,
        uncertainty_dB: Math.hypot(meter_dB / ROOT_3, heard.noise_dB, reference.heard.noise_dB),
      };
    })
    .sort((a, b) => a.frequency_Hz - b.frequency_Hz);
}

function readAt(stand: ToneStand, chain: ChannelChain, frequency_Hz: number, value: number): Promise<number> {
  const nothing = `is the meter across output ${chain.output}, and does it read AC at this frequency?`;
  return askPlausibly(
    stand.work,
    {
      question: { kind: 'output-volts', channel: chain.channel, frequency_Hz },
      text: `Output ${chain.output} plays ${formatQuantity(frequency_Hz, 'Hz')}, about ${formatQuantity(value, 'V')}. Volts rms on the meter:`,
      fault: (reading) => implausible(reading, { value, within: METERED_WITHIN, unit: 'V', nothing }),
    },
    (ask) => stand.hold(ask),
  );
}

/** @param peak digital, at the output */
function heardOf({ fundamental_rms, noise_rms }: ChannelAnalysis, tone: CoherentTone, peak: number): Heard {
  const { frequency_Hz, frames, rate_Hz } = tone;
  // Amplitude of a sine in white noise: relative variance noise^2 / (rms^2 frames), noise over the whole band up to half the rate.
  const share = (noise_rms / fundamental_rms) * Math.sqrt(rate_Hz / 40_000 / frames);
  return {
    frequency_Hz,
    level_dB: decibelsOfVoltage((fundamental_rms * Math.SQRT2) / peak),
    noise_dB: 100 * share * DECIBELS_PER_PERCENT,
  };
}

/** The frequencies asked for, or else those of the procedure, as far as the rate allows, the reference among them. */
function inBand(stand: ToneStand, usual_Hz: readonly number[]): number[] {
  const wanted = [REFERENCE_Hz, ...(stand.work.frequencies_Hz ?? usual_Hz)];
  const playable = wanted.filter((frequency_Hz) => frequency_Hz < stand.work.bench.rate_Hz / 2);
  return stand.distinct(playable).sort((a, b) => a - b);
}

function responseFinding(
  { channel }: ChannelChain,
  points: readonly ResponsePoint[],
  note: string,
): CalibrationFinding {
  return finding({ kind: 'response', channel, value: 0, response: points, notes: [note] });
}
