import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { readBench } from '../src/bench/bench-file.js';
import { openSimulated } from '../src/bench/simulated/open-simulated.js';
import { type Finding, numberOf } from '../src/record/finding.js';
import { runPlan } from '../src/runner/course/run-plan.js';
import type { CourseEvent } from '../src/runner/course/run-request.js';
import { makePlan } from '../src/sequence/make-plan.js';
import { readSequence } from '../src/sequence/sequence-file.js';

interface BenchLine {
  readonly name: string;
  readonly text: string;
  readonly value: number;
}

const FROM_W = 0.25;
const GRID_dB = 0.1;
const TWINS = ['ideal-40', 'switching-treble', 'installed-eight'] as const;
const SEQUENCE = `
name: Ceilings
load: 8 ohm
driven: all
steps:
  - climb: {id: up, frequency: 1 kHz, from: ${1000 * FROM_W} mW, marks: [0.1 %]}
  - ceiling: {id: top, threshold: 0.1 %, frequencies: R10 from 20 Hz to 6 kHz, from: ${1000 * FROM_W} mW, start: 0.1 % of up}
`;

/** Plays climb and ceilings on a shipped twin, and gives back all that was said. */
async function playOn(name: string): Promise<CourseEvent[]> {
  const path = fileURLToPath(new URL(`../benches/${name}.yaml`, import.meta.url));
  const setup = readBench(readFileSync(path, 'utf8'), path);
  const events: CourseEvent[] = [];
  const { outcome, reason } = await runPlan({
    plan: makePlan(readSequence(SEQUENCE, 'ceilings.yaml'), setup),
    bench: openSimulated(setup),
    setup,
    listener: (event) => {
      events.push(event);
    },
    ask: async () => true,
    signal: new AbortController().signal,
  });
  if (outcome !== 'completed') throw new Error(`${name} ended as ${outcome}: ${reason}`);
  return events;
}

/** Captures of the ceilings, the seconds that each took, and what they put into the load that got most. */
function lookedAt(events: readonly CourseEvent[]): { looks: number; look_s: number; energy_J: number } {
  const points = events.filter((event) => event.kind === 'point').filter(({ point }) => point.step === 'top');
  const end_s = events.findLast((event) => event.kind === 'ended')!.at_s;
  const energy_J = points.reduce((sum, { point, readings }, i) => {
    const seconds = (points[i + 1]?.point.at_s ?? end_s) - point.at_s;
    return sum + Math.max(...readings.map(({ power_W }) => power_W)) * seconds;
  }, 0);
  return { looks: points.length, look_s: (end_s - points[0]!.point.at_s) / points.length, energy_J };
}

/** Looks and watt-seconds of a grid from the lowest level up to just over each ceiling, at as much time a capture. */
function fixedGrid(results: readonly Finding[], look_s: number): { looks: number; energy_J: number } {
  let [looks, energy_J] = [0, 0];
  for (const nominal_Hz of frequenciesOf(results)) {
    const found = results.filter(({ stimulus }) => stimulus.nominal_Hz === nominal_Hz);
    const most_W = Math.max(...found.map((finding) => numberOf(finding) ?? 0));
    const steps = Math.ceil((10 * Math.log10(most_W / FROM_W)) / GRID_dB) + 1;
    looks += steps;
    for (let i = 0; i < steps; i += 1) energy_J += FROM_W * 10 ** ((GRID_dB * i) / 10) * look_s;
  }
  return { looks, energy_J };
}

const frequenciesOf = (results: readonly Finding[]) =>
  new Set(results.map(({ stimulus }) => stimulus.nominal_Hz));

/** Looks and watt-seconds that a ceiling takes on a few twins, as shares of those of a fixed grid of 0.1 dB. */
export async function ceilingBench(): Promise<BenchLine[]> {
  const lines: BenchLine[] = [];
  for (const name of TWINS) {
    const events = await playOn(name);
    const results = events
      .flatMap((event) => (event.kind === 'finding' ? [event.finding] : []))
      .filter(({ quantity, setting }) => quantity === 'max-power' && setting.step_kind === 'max-power');
    const { looks, look_s, energy_J } = lookedAt(events);
    const grid = fixedGrid(results, look_s);
    const frequencies = frequenciesOf(results).size;
    const shares = [looks / grid.looks, energy_J / grid.energy_J].map((share) => (100 * share).toFixed(1));
    lines.push({
      name: `ceilings of ${name}`,
      text:
        `${(looks / frequencies).toFixed(1)} looks and ${(energy_J / frequencies).toFixed(0)} Ws a frequency: ` +
        `${shares[0]} % of the captures and ${shares[1]} % of the Ws of a 0.1 dB grid`,
      value: looks / grid.looks,
    });
  }
  return lines;
}
