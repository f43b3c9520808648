import type { FloorPoint } from '../calibration/floor.js';
import type { ChannelAnalysis } from '../measure/analysis.js';
import { decibelsOfVoltage } from '../units/decibel.js';
import { NothingHeard } from './calibration-errors.js';
import { type ByChannel, type CalibrationWork, connectLoops, loopWords } from './calibration-work.js';
import { type CalibrationFinding, finding } from './finding.js';
import { hearLoops, mostAtInput_dB, peaksForInput } from './loops.js';
import { onStand, type ToneStand, walkPoints } from './tone-stand.js';

const FREQUENCIES_Hz = [20, 50, 100, 200, 500, 1000, 2000, 5000, 10_000, 20_000];
/** Levels at the input, dB relative to full scale. */
const LEVELS_dB = [-60, -40, -20, -10, -3, -1];
/** Levels closer than this are the same; closer than the other, one of them is enough. */
const SAME_dB = 0.05;
const LEAST_STEP_dB = 1;

/**
 * What the bench reads of itself, its outputs looped to its inputs: THD+N over level and frequency, the worst channel of
 * each point, and the noise of the worst channel in silence.
 *
 * @throws OhmestError saying why no result can be given; nothing has been written then
 */
export async function calibrateFloor(work: CalibrationWork): Promise<CalibrationFinding[]> {
  const { outputs, inputs } = loopWords(work);
  await connectLoops(work);
  return onStand(work, async (stand) => {
    const gains = await hearLoops(stand);
    const levels_dB = reachedLevels(work, gains);
    const noise_V = await readNoise(stand);
    const points = await readTable(stand, gains, levels_dB);
    return [
      finding({
        kind: 'floor',
        value: Math.min(...points.map(({ thdn_percent }) => thdn_percent)),
        floor: { points, noise_V },
        notes: [
          `${outputs} looped to ${inputs}, all at once; default band of each frequency; the worst channel of each point.`,
        ],
      }),
    ];
  });
}

/** The levels that every loop reaches, and the highest that it does where that is not enough. @throws NothingHeard when there is none */
function reachedLevels(work: CalibrationWork, gains: ByChannel): number[] {
  const asked = [...(work.levels_dB ?? LEVELS_dB)].sort((a, b) => a - b);
  const most_dB = Math.min(...[...gains.values()].map(mostAtInput_dB));
  const reached = asked.filter((level_dB) => level_dB <= most_dB + SAME_dB);
  if (reached.length === 0)
    throw new NothingHeard({
      what: `the loop brings no more than ${most_dB.toFixed(1)} dB to the inputs`,
      mend: 'Turn the gain of the inputs up, or name lower levels with --level',
    });
  if (reached.length === asked.length) return reached;
  work.tell(`The loop brings no more than ${most_dB.toFixed(1)} dB to the inputs: nothing above is read.`);
  return most_dB > reached.at(-1)! + LEAST_STEP_dB ? [...reached, most_dB] : reached;
}

/** Rms volts at the input converter in silence, 20 Hz to 20 kHz, worst channel. */
async function readNoise(stand: ToneStand): Promise<number> {
  stand.set(1000, new Map());
  const analyses = await stand.read('residue');
  const { channels } = stand.work.setup;
  return Math.max(
    ...stand.chains.map((chain) => analyses[channels.indexOf(chain)]!.noise_rms * chain.inputFullScale_Vpk),
  );
}

async function readTable(
  stand: ToneStand,
  gains: ByChannel,
  levels_dB: readonly number[],
): Promise<FloorPoint[]> {
  const { work, chains } = stand;
  const frequencies_Hz = stand.distinct(
    (work.frequencies_Hz ?? FREQUENCIES_Hz).filter((frequency_Hz) => frequency_Hz < work.bench.rate_Hz / 2),
  );
  const points = frequencies_Hz.flatMap((nominal_Hz) =>
    levels_dB.map((level_dB) => ({ nominal_Hz, peaks: peaksForInput(chains, level_dB, gains) })),
  );
  const table: FloorPoint[] = [];
  await walkPoints(stand, points, async ({ nominal_Hz }) => {
    const heard = await stand.readClean('residue');
    table.push(worstOf([...heard.values()], stand.tone(nominal_Hz).frequency_Hz));
  });
  return table;
}

function worstOf(analyses: readonly ChannelAnalysis[], frequency_Hz: number): FloorPoint {
  const worst = analyses.reduce((most, one) => (one.thdn_percent > most.thdn_percent ? one : most));
  return {
    frequency_Hz,
    level_dB: decibelsOfVoltage(worst.rms * Math.SQRT2),
    thdn_percent: worst.thdn_percent,
  };
}
