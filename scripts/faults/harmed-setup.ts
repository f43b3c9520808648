import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { readBench } from '../../src/bench/bench-file.js';
import type { BenchSetup } from '../../src/bench/bench-setup.js';
import { openSimulated } from '../../src/bench/simulated/open-simulated.js';
import type { SimulatedBench } from '../../src/bench/simulated/simulated-bench.js';

/** Steps that play the same settings whatever is read: so a run can be held point by point against one without a fault. */
export const SEQUENCE = `name: To be harmed
load: 8 ohm
steps:
  - sweep: {id: band, level: 20 W, frequencies: [100 Hz, 1 kHz, 5 kHz, 500 Hz]}
  - hold: {id: stay, frequency: 1 kHz, level: 30 W, for: 6 s, every: 1 s}
  - rest: 2 s
  - sweep: {id: again, level: 10 W, frequencies: [1 kHz, 200 Hz, 2 kHz]}
`;

/** Steps that look for what they play: what they play after a fault depends on it, so it is a fault that must end the run. */
export const CLIMB = `name: Climb to be harmed
load: 8 ohm
steps:
  - climb: {id: up, frequency: 1 kHz, from: 1 W, marks: [0.1 %, 1 %]}
`;
export const CEILING = `name: Ceilings to be harmed
load: 8 ohm
steps:
  - ceiling: {id: top, threshold: 1 %, frequencies: [100 Hz, 1 kHz, 5 kHz], from: 1 W}
`;

/** Two channels of an ordinary unit: some noise, some second and third harmonic, rails far above what is played. */
const TWIN = `twin: To be harmed
gain: 26 dB
noise: 6 uV
curvature: {second: 0.003 %, third: 0.002 %, at: 20 V}
output: {resistance: 0.03 ohm, current_limit: 20 A}
supply: {regulated: 45 V}
interface: {output_noise: 2 uV, input_noise: 2 uV, bits: 24, latency: 60}
`;

const benchText = (more: string, tap: (channel: number) => string) => `name: Bench to be harmed
interface: {kind: simulated, twin: twin.yaml, rate: 48 kHz}
${more}channels:${[1, 2]
  .map(
    (channel) => `
  - output: {full_scale: 3 V rms, uncertainty: 0.1 %}
    input: {full_scale: 4 V peak, uncertainty: 0.2 %}
    attenuator: {ratio: 25, rating: 150 V peak, uncertainty: 0.1 %}
    load: {nominal: 8 ohm, rating: 250 W, uncertainty: 0.3 %}${tap(channel)}`,
  )
  .join('')}
`;

const shunt = (channel: number) => `
    current: {channel: ${channel + 2}, full_scale: 1 V rms, shunt: 0.1 ohm, uncertainty: 0.25 %}`;

export interface Stand {
  readonly setup: BenchSetup;
  readonly bench: SimulatedBench;
}

/** What differs from the plain bench. */
export interface StandOptions {
  /** Lines added to the twin and to the bench file. */
  readonly twin?: string;
  readonly more?: string;
  /** A shunt at every load: `seen`, or there without the run knowing. */
  readonly shunts?: 'seen' | 'hidden';
}

/** A simulated bench with a unit of its own, its files in `folder`. */
export function stand(folder: string, { twin = '', more = '', shunts }: StandOptions = {}): Stand {
  writeFileSync(join(folder, 'twin.yaml'), TWIN + twin);
  const path = join(folder, 'bench.yaml');
  const whole = readBench(benchText(more, shunts ? shunt : () => ''), path);
  const setup =
    shunts === 'hidden'
      ? readBench(
          benchText(more, () => ''),
          path,
        )
      : whole;
  return { setup, bench: openSimulated(whole) };
}
